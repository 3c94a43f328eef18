use super::*;
use crate::document::{BlockKind, BlockText};
use crate::text::{SourceFile, Span};
use proptest::prelude::*;

fn parse(kind: BlockKind, text: &str) -> (Vec<Statement>, Vec<String>) {
    let source = SourceFile::new("sheet.md", text);
    let (statements, findings) = parse_block(kind, &BlockText::at(text, 0), &source);
    (statements, findings.iter().map(|d| d.message.clone()).collect())
}

fn expression(text: &str) -> String {
    let (statements, findings) = parse(BlockKind::Derive, &format!("x = {text}"));
    assert!(findings.is_empty(), "{text}: {findings:?}");
    match &statements[0].kind {
        StatementKind::Define { value: Definition::Expression(expression), .. } => outline(expression),
        other => panic!("{other:?}"),
    }
}

/// The structure with all parentheses.
fn outline(expression: &Expression) -> String {
    match &expression.kind {
        ExpressionKind::Unary(UnaryOperator::Minus, a) => format!("(-{})", outline(a)),
        ExpressionKind::Unary(UnaryOperator::Not, a) => format!("(not {})", outline(a)),
        ExpressionKind::Binary(op, a, b) => format!("({} {} {})", outline(a), op.text(), outline(b)),
        _ => print_expression(expression),
    }
}

#[test]
fn precedence_is_that_of_mathematics() {
    for (text, structure) in [
        ("-a^2", "(-(a ^ 2))"),
        ("2^-1", "(2 ^ (-1))"),
        ("a^b^c", "(a ^ (b ^ c))"),
        ("a/b*c", "((a / b) * c)"),
        ("a - b - c", "((a - b) - c)"),
        ("a + b * c", "(a + (b * c))"),
        ("not a and b or c", "(((not a) and b) or c)"),
        ("not a <= b", "(not (a <= b))"),
        ("a is not b and c is d", "((a is not b) and (c is d))"),
        ("-a * b", "((-a) * b)"),
        ("a² + b³", "((a ^ 2) + (b ^ 3))"),
        ("a · b × c − d", "(((a * b) * c) - d)"),
        ("a^-2.5", "(a ^ (-2.5))"),
    ] {
        assert_eq!(expression(text), structure, "{text}");
    }
}

#[test]
fn a_label_may_hold_hyphens_and_stands_in_quotes_where_it_is_named() {
    let table =
        "t = table T in N·m\n    TW-07: 5\n    2026-11-A_1: -3\n    7-8e3: 2-1\n    in_2-2m: 4\n    7: 5\n    Ü-1: 6";
    let (statements, findings) = parse(BlockKind::Given, table);
    assert!(findings.is_empty(), "{findings:?}");
    let StatementKind::Define { value: Definition::Table(table), .. } = &statements[0].kind else { panic!() };
    let rows: Vec<String> = table
        .rows
        .iter()
        .map(|(label, cells)| format!("{} {}", label.node, cells.iter().map(outline).collect::<String>()))
        .collect();
    assert_eq!(rows, ["TW-07 5", "2026-11-A_1 (-3)", "7-8e3 (2 - 1)", "in_2-2m 4", "7 5", "Ü-1 6"]);
    assert_eq!(expression("t.\"TW-07\".T_low - 7"), "(t.\"TW-07\".T_low - 7)");
    assert_eq!(expression("t.TW-07"), "(t.TW - 07)");
    assert_eq!(expression("t.\"TW\""), "t.TW");
    assert_eq!(expression("t.\"B3 A7\"[2]"), "t.\"B3 A7\"[2]");
}

#[test]
fn what_is_no_label_is_told() {
    for (row, message) in [
        ("TW - 07: 5", "expected `:`, found `-`"),
        ("TW-: 5", "`TW-` cannot be the label of a row"),
        ("-7: 5", "`-7` cannot be the label of a row"),
        ("A--1: 5", "`A--1` cannot be the label of a row"),
        ("A-1.5: 5", "`A-1.5` cannot be the label of a row"),
        ("A−1: 5", "`A−1` cannot be the label of a row"),
        ("no: 5", "`no` cannot be the label of a row"),
        ("(7): 5", "expected the row's label, found `(`"),
    ] {
        let (_, findings) = parse(BlockKind::Given, &format!("t = table T\n    {row}"));
        assert_eq!(findings, [message], "{row}");
    }
}

#[test]
fn a_unit_stands_behind_its_number() {
    assert_eq!(expression("25 N/mm² / 3"), "(25 N/mm² / 3)");
    assert_eq!(expression("1.5e3 kN·m * 2"), "(1.5e3 kN·m * 2)");
    assert_eq!(expression("3 mm*4"), "(3 mm * 4)");
    assert_eq!(expression("5 %"), "5 %");
}

#[test]
fn in_is_the_inch_unless_a_unit_follows() {
    for (text, unit, shown) in [
        ("x = 12 in", Some("in"), None),
        ("x = 12 in in mm", Some("in"), Some("mm")),
        ("x = N / 2 in kN", None, Some("kN")),
        ("x = 3 in within 1 in to 9 in", Some("in"), None),
        ("x = a in in", None, Some("in")),
    ] {
        let (statements, findings) = parse(BlockKind::Derive, text);
        assert!(findings.is_empty(), "{text}: {findings:?}");
        let statement = &statements[0];
        assert_eq!(statement.suffix.unit.as_ref().map(|u| u.node.as_str()), shown, "{text}");
        let printed = print_statement(statement);
        assert_eq!(printed.contains("12 in") || printed.contains("3 in"), unit.is_some(), "{text}: {printed}");
    }
}

#[test]
fn thin_spaces_group_digits_and_plain_ones_are_explained() {
    assert_eq!(expression("4\u{2009}000 psi"), "4000 psi");
    let (_, findings) = parse(BlockKind::Given, "p = 4 000 psi");
    assert_eq!(findings, ["`4 000` may be one number or two"]);
}

#[test]
fn a_statement_keeps_its_suffixes() {
    let text = "h_ef = 85 mm \"effective embedment\" within 40 mm to 200 mm @ drawing 7 [in doubt: two revisions]";
    let (statements, findings) = parse(BlockKind::Given, text);
    assert!(findings.is_empty(), "{findings:?}");
    let suffix = &statements[0].suffix;
    assert_eq!(suffix.description.as_ref().map(|d| d.node.as_str()), Some("effective embedment"));
    let reference = suffix.reference.as_ref().expect("there is a reference");
    assert_eq!(reference.text, "drawing 7");
    let mark = reference.mark.as_ref().expect("there is a mark");
    assert_eq!((mark.kind, mark.reason.as_str()), (MarkKind::InDoubt, "two revisions"));
}

#[test]
fn a_mistake_costs_its_statement_only() {
    let (statements, findings) = parse(BlockKind::Derive, "a = (1 + \nb = 2 3\nc = 4\n");
    assert_eq!(findings.len(), 2);
    assert_eq!(statements.len(), 3);
}

#[test]
fn nesting_is_limited_without_harm() {
    for text in [
        format!("a = {}1{}", "(".repeat(100_000), ")".repeat(100_000)),
        format!("a = {}1", "-".repeat(100_000)),
        format!("a = 1{}", "^1".repeat(100_000)),
        format!("a = {}", "not ".repeat(100_000)),
        format!("a = {}", "f(".repeat(100_000)),
        format!("a = {}", "[".repeat(100_000)),
    ] {
        let (_, findings) = parse(BlockKind::Derive, &text);
        assert!(!findings.is_empty());
    }
}

fn any_expression() -> impl Strategy<Value = Expression> {
    let at = |kind| Expression::new(kind, Span::default());
    let leaf = prop_oneof![
        (0u32..10_000).prop_map(move |n| at(ExpressionKind::Number(n.to_string(), None))),
        (0u32..999).prop_map(move |n| at(ExpressionKind::Number(
            format!("{n}.5"),
            Some(crate::text::Spanned::new("N/mm²".to_owned(), Span::default()))
        ))),
        "[a-hj-mo-rt][a-z]?_[A-Z][a-z]{0,2}".prop_map(move |n| at(ExpressionKind::Name(n))),
        any::<bool>().prop_map(move |b| at(ExpressionKind::Truth(b))),
    ];
    leaf.prop_recursive(5, 40, 3, move |inner| {
        use BinaryOperator as B;
        let operator = prop::sample::select(vec![
            B::Or,
            B::And,
            B::LessOrEqual,
            B::GreaterOrEqual,
            B::Less,
            B::Greater,
            B::Is,
            B::IsNot,
            B::Plus,
            B::Minus,
            B::Times,
            B::Over,
            B::Power,
        ]);
        let name = |n: &str| crate::text::Spanned::new(n.to_owned(), Span::default());
        prop_oneof![
            (operator, inner.clone(), inner.clone()).prop_map(move |(op, a, b)| at(ExpressionKind::Binary(
                op,
                Box::new(a),
                Box::new(b)
            ))),
            inner.clone().prop_map(move |a| at(ExpressionKind::Unary(UnaryOperator::Minus, Box::new(a)))),
            inner.clone().prop_map(move |a| at(ExpressionKind::Unary(UnaryOperator::Not, Box::new(a)))),
            inner.clone().prop_map(move |a| at(ExpressionKind::Field(Box::new(a), name("x")))),
            prop::collection::vec(inner.clone(), 0..3).prop_map(move |items| at(ExpressionKind::List(items))),
            prop::collection::vec(inner, 1..3).prop_map(move |items| at(ExpressionKind::Call(name("min"), items))),
        ]
    })
}

/// Statements as people write them, each with the block that it belongs to.
fn any_statement() -> impl Strategy<Value = (BlockKind, String)> {
    let value = || any_expression().prop_map(|tree| print_expression(&tree));
    let one_of = |texts: &'static [&'static str]| prop::sample::select(texts.to_vec());
    let suffix = (
        one_of(&["", " in kN", " in N/mm²"]),
        one_of(&["", " to 4 figures"]),
        one_of(&["", " \"tension, case 2\""]),
        one_of(&["", " within 0 kN to 50 kN", " within -a_B to a_B + 2 mm"]),
        one_of(&["", " @ drawing 7", " @ clause 7.2 [in doubt: two readings]", " @ assumed: by eye [from memory]"]),
    );
    let suffix = suffix
        .prop_map(|(unit, figures, words, limits, reference)| format!("{unit}{figures}{words}{limits}{reference}"));
    let giving = one_of(&["", " giving N with a_B in mm, c_D in N/mm²"]);
    let rest = one_of(&[
        "",
        " with x = a_B",
        " gives q_A, r_B as s_C",
        " from d_E with x = (a_B + 2) * 3 mm gives q_A",
        " for each row of t_B with x = row.x gives q_A",
    ]);
    let kind = one_of(&[
        "force",
        "in N/mm²",
        "yes/no",
        "list of list of length",
        "table of x length, y in kN",
        "filled table of x length",
        "filled list of force",
        "data",
    ]);
    prop_oneof![
        (value(), giving, suffix.clone()).prop_map(|(v, g, s)| (BlockKind::Derive, format!("x_A = {v}{g}{s}"))),
        (value(), value(), value(), suffix.clone()).prop_map(|(a, b, c, s)| (
            BlockKind::Derive,
            format!("x_A = cases{s}\n    {a} when {b}\n    {c} otherwise")
        )),
        (value(), one_of(&["", " \"limit\""])).prop_map(|(v, s)| (BlockKind::Derive, format!("require {v}{s}"))),
        ("[1-9][0-9]{0,2}", suffix.clone()).prop_map(|(n, s)| (
            BlockKind::Given,
            format!("t_B = table x in mm, y in °{s}\n    A: {n}, -3\n    7: 2 m, -4.5\n    TW-07: t_C.\"A-1\".x, 2\n    \"B3 A-7\": 1, 2")
        )),
        suffix.clone().prop_map(|s| (BlockKind::Given, format!("d_E = data \"data/a.toml\"{s}"))),
        (
            one_of(&["", " columns anchor = \"Anchor\", torque = \"Torque (N·m)\""]),
            one_of(&["", " throughout tool = \"TW07\", calibrated = \"2027-04-30\""]),
            one_of(&["", " words moved = \"verschoben\", moved = \"shifted\" required batch, done"]),
            one_of(&[
                "",
                " reading dates = \"day first\", decimal_mark = \"comma\"",
                " works first = \"2026-11-02\", last = \"2026-11-05\""
            ]),
            one_of(&["", " with anchors = t_B, T_tol = 5 %"]),
            suffix.clone()
        )
            .prop_map(|(columns, throughout, words, reading, with, s)| (
                BlockKind::Given,
                format!("l_F = records \"records/a.csv\"{columns}{throughout}{words}{reading}{with}{s}")
            )),
        one_of(&["", " \"face\""]).prop_map(|s| (BlockKind::Given, format!("f_A = east{s} among east, west"))),
        one_of(&["", " \"cone\"", " \"cone\" when a_B is b otherwise \"no cone\" @ 7.2"])
            .prop_map(|s| (BlockKind::Verify, format!("a_B <= c_D * 2{s}"))),
        (kind, one_of(&["", " \"words\"", " within 1 kN to 2 kN"]))
            .prop_map(|(k, s)| (BlockKind::Clause, format!("takes x_A : {k}{s}"))),
        one_of(&["", " \"words\""]).prop_map(|s| (BlockKind::Clause, format!("gives x_A{s}"))),
        rest.prop_map(|rest| (BlockKind::Clause, format!("use en-1992-4/concrete-cone{rest}"))),
        one_of(&["", " \"Plan\""]).prop_map(|s| (BlockKind::Figure, format!("plan{s} with d = a_B.c, e = [1, 2]"))),
    ]
}

/// A statement's tree without places.
fn shape(statement: &Statement) -> String {
    let text = format!("{statement:?}");
    let mut parts = text.split("Span {");
    let mut shape = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        shape.push_str(part.split_once('}').map_or(part, |(_, behind)| behind));
    }
    shape
}

/// A tree that the property below once failed on: a part of a number, or of yes or no, is printed in parentheses.
#[test]
fn parts_of_what_has_none_are_printed_so_that_they_read_back() {
    for kind in [ExpressionKind::Number("0".into(), None), ExpressionKind::Truth(false)] {
        let field = crate::text::Spanned { node: "x".to_owned(), span: Span::default() };
        let of = Expression::new(kind, Span::default());
        let tree = Expression::new(ExpressionKind::Field(Box::new(of), field), Span::default());
        let text = print_expression(&tree);
        let (statements, findings) = parse(BlockKind::Derive, &format!("x = [{text}]"));
        assert!(findings.is_empty(), "{text}: {findings:?}");
        assert!(print_statement(&statements[0]).contains(&text), "{text}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn printing_a_tree_and_reading_it_gives_the_same_tree(tree in any_expression()) {
        let text = print_expression(&tree);
        let (statements, findings) = parse(BlockKind::Derive, &format!("x = {text}"));
        prop_assert!(findings.is_empty(), "{text}: {findings:?}");
        let StatementKind::Define { value: Definition::Expression(again), .. } = &statements[0].kind else {
            return Err(TestCaseError::fail("no expression"));
        };
        prop_assert_eq!(outline(again), outline(&tree), "{}", text);
        prop_assert_eq!(print_expression(again), text);
    }

    #[test]
    fn printing_a_statement_and_reading_it_gives_the_same_statement((kind, text) in any_statement()) {
        let (statements, findings) = parse(kind, &text);
        prop_assert!(findings.is_empty(), "{text}: {findings:?}");
        prop_assert_eq!(statements.len(), 1, "{}", text);
        let printed = print_statement(&statements[0]);
        let (again, findings) = parse(kind, &printed);
        prop_assert!(findings.is_empty(), "{text} printed as {printed}: {findings:?}");
        prop_assert_eq!(again.len(), 1, "{} printed as {}", text, printed);
        prop_assert_eq!(shape(&again[0]), shape(&statements[0]), "{} printed as {}", text, printed);
        prop_assert_eq!(print_statement(&again[0]), printed);
    }

    #[test]
    fn the_parser_never_panics(text in "\\PC{0,80}|[a-z0-9 =+*/^()\\[\\],.:@\"\n²°<>-]{0,120}") {
        for kind in BlockKind::ALL {
            for statement in parse(kind, &text).0 {
                let _ = print_statement(&statement);
            }
        }
    }
}
