use super::*;

fn evaluate(build: impl FnOnce(&mut Builder) -> Register) -> f64 {
    let mut builder = Builder::default();
    let register = build(&mut builder);
    let registers = run(&builder.finish(), &[2.0]).registers;
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

/// `x` with `x² = target` between two limits, and the square.
fn root_of(low: f64, high: f64, target: f64) -> (f64, f64) {
    let mut builder = Builder::default();
    let [low, high, target] = [low, high, target].map(|value| builder.constant(value));
    let x = builder.solve(low, high, target);
    let square = builder.binary(Binary::Multiply, x, x);
    builder.solve_for(x, square);
    let registers = run(&builder.finish(), &[]).registers;
    (registers[x.index()], registers[square.index()])
}

#[test]
fn a_value_is_found_between_its_limits() {
    let (x, square) = root_of(1.0, 2.0, 2.0);
    assert!((x - std::f64::consts::SQRT_2).abs() <= f64::EPSILON, "{x}");
    assert!((square - 2.0).abs() <= 4.0 * f64::EPSILON, "{square}");
    // At a limit, and where the result falls as the value rises.
    assert_eq!(root_of(0.0, 3.0, 9.0).0, 3.0);
    assert_eq!(root_of(0.0, 3.0, 0.0).0, 0.0);
    assert!((root_of(-2.0, -1.0, 2.0).0 + std::f64::consts::SQRT_2).abs() <= f64::EPSILON);
}

#[test]
fn a_value_outside_its_limits_is_not_found() {
    for (low, high, target) in
        [(2.0, 3.0, 2.0), (-1.0, 1.0, 4.0), (2.0, 1.0, 2.0), (f64::NAN, 1.0, 0.5), (1.0, 2.0, f64::NAN)]
    {
        let (x, square) = root_of(low, high, target);
        assert!(x.is_nan() && square.is_nan(), "{low} to {high} for {target}: {x}");
    }
}

#[test]
fn a_value_is_looked_for_within_the_steps_of_another() {
    // y with y·x(y) = 8 where x(y)² = y, thus y = 4 and x = 2.
    let mut builder = Builder::default();
    let [one, nine, eight] = [1.0, 9.0, 8.0].map(|value| builder.constant(value));
    let y = builder.solve(one, nine, eight);
    let x = builder.solve(one, nine, y);
    let square = builder.binary(Binary::Multiply, x, x);
    builder.solve_for(x, square);
    let product = builder.binary(Binary::Multiply, x, y);
    builder.solve_for(y, product);
    let registers = run(&builder.finish(), &[]).registers;
    assert!((registers[y.index()] - 4.0).abs() < 1e-14 && (registers[x.index()] - 2.0).abs() < 1e-14);
}
