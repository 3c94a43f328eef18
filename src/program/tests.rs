use super::*;

fn evaluate(build: impl FnOnce(&mut Builder) -> Register) -> f64 {
    let mut builder = Builder::default();
    let register = build(&mut builder);
    let registers = run(&builder.finish(), &[2.0]);
    registers[register.index()]
}

#[test]
fn what_is_no_number_passes_through_everything() {
    let zero_division = |b: &mut Builder| {
        let (x, zero) = (b.input(), b.constant(0.0));
        b.binary(Binary::Divide, x, zero)
    };
    assert!(evaluate(zero_division).is_nan());
    for operation in [Binary::Minimum, Binary::Maximum, Binary::LessOrEqual, Binary::And, Binary::Or] {
        let value = evaluate(|b| {
            let (bad, one) = (zero_division(b), b.constant(1.0));
            b.binary(operation, one, bad)
        });
        assert!(value.is_nan(), "{operation:?}");
    }
    assert!(
        evaluate(|b| {
            let (bad, one) = (zero_division(b), b.constant(1.0));
            b.choose(bad, one, one)
        })
        .is_nan()
    );
}

#[test]
fn a_branch_not_taken_may_be_no_number() {
    let value = evaluate(|b| {
        let (yes, one, minus) = (b.constant(1.0), b.constant(1.0), b.constant(-1.0));
        let root = b.unary(Unary::SquareRoot, minus);
        b.choose(yes, one, root)
    });
    assert_eq!(value, 1.0);
}

#[test]
fn values_within_the_guard_compare_as_equal() {
    let compare = |operation, a: f64, b: f64| {
        evaluate(|builder| {
            let (a, b) = (builder.constant(a), builder.constant(b));
            builder.binary(operation, a, b)
        })
    };
    assert_eq!(compare(Binary::LessOrEqual, 0.8 + 1e-12, 0.8), 1.0);
    assert_eq!(compare(Binary::Less, 0.8 - 1e-12, 0.8), 0.0);
    assert_eq!(compare(Binary::LessOrEqual, 0.8 + 1e-6, 0.8), 0.0);
    assert_eq!(compare(Binary::Equal, 0.07, 70.0 / 1000.0), 1.0);
}

#[test]
fn powers_by_halves_are_products_and_roots() {
    for (exponent, expected) in
        [(0.5, 2f64.sqrt()), (1.0, 2.0), (1.5, 2.0 * 2f64.sqrt()), (2.0, 4.0), (3.0, 8.0), (-1.0, 0.5)]
    {
        let value = evaluate(|b| {
            let x = b.input();
            b.power(x, exponent)
        });
        assert_eq!(value, expected, "{exponent}");
    }
}

#[test]
fn equal_steps_are_written_once() {
    let mut builder = Builder::default();
    let x = builder.input();
    let first = builder.binary(Binary::Multiply, x, x);
    let second = builder.binary(Binary::Multiply, x, x);
    assert_eq!(first, second);
    assert_eq!(builder.finish().steps.len(), 2);
}
