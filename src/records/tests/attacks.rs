//! Files made to break a reader.

use super::*;

fn told(text: &str) -> String {
    refusal(text.as_bytes(), &two_columns(), &specification(&["A1"], plain_demand()))
}

#[test]
fn an_open_quote_is_told_with_its_row() {
    let rows = "A1,60\n".repeat(20_000);
    for text in ["A1,60\nA1,\"60\nA1,60\n".to_owned(), format!("A1,60\nA1,\"60\n{rows}")] {
        let told = told(&format!("Anchor,Torque (Nm)\n{text}"));
        assert_eq!(told, "line 3: found a quote that is not closed, expected a closing quote within 65536 bytes");
    }
}

#[test]
fn a_quote_that_swallows_rows_is_told_where_it_opens() {
    let text = "Anchor,Torque (Nm)\nA1,60\nA1,\"60\nA1,60\nA1,\"60\"\n";
    let mistakes =
        judge(text.as_bytes(), &two_columns(), &specification(&["A1"], plain_demand())).expect_err("a quote");
    assert_eq!(
        mistakes[0].to_string(),
        "line 3: found a quoted field with text behind its closing quote, expected the next field or the end of the row \
         there; a quote inside a quoted field is written twice"
    );
    let (behind, _) = mistakes[0].also.as_deref().expect("a second place");
    assert_eq!(&text[behind.range().start..], "60\"\n");
}

#[test]
fn a_quote_inside_a_field_without_quotes_is_a_character() {
    let text = "Anchor,Torque (Nm),Remark\nA1,60,5\" rod\n";
    let mapping = two_columns().column(Field::Remark, "Remark");
    let report = accepted(text.as_bytes(), &mapping, &specification(&["A1"], plain_demand()));
    assert_eq!(report.record(0).remark, "5\" rod");
}

#[test]
fn an_endless_field_takes_up_no_memory() {
    let field = "x".repeat(8 << 20);
    let text = format!("Anchor,Torque (Nm)\nA1,{field}\n");
    assert_eq!(told(&text), "line 2: found a longer row, expected at most 65536 bytes in a row");
    assert_eq!(told(&field), "line 1: found a longer row, expected at most 65536 bytes in a row");
}

#[test]
fn ten_thousand_columns_are_refused() {
    let wide = vec!["x"; 10_000].join(",");
    assert!(told(&wide).starts_with("line 1: found more columns, expected at most 1000 columns\n"));
    let told = told(&format!("Anchor,Torque (Nm)\nA1,60\n{wide}\n"));
    assert_eq!(told, "line 3: found more columns, expected at most 1000 columns");
}

#[test]
fn files_without_rows_are_refused_or_all_is_missing() {
    assert_eq!(told(""), "found no rows, expected a header and rows below it");
    assert_eq!(told("\n\r\n"), "found no rows, expected a header and rows below it");
    let report = accepted(b"Anchor,Torque (Nm)", &two_columns(), &specification(&["A1"], plain_demand()));
    assert_eq!((report.totals.missing, report.totals.rows_read), (1, 0));
    assert_eq!(report.overall.torque.mean, None);
}

#[test]
fn numbers_beyond_reason_are_errors_of_their_row() {
    let rows: Vec<String> = ["-60", "1e999", "NaN", "inf", "1e-4000", "0x10", "6_0", "--6", "1e", "\u{661}", "1,2,3"]
        .iter()
        .map(|cell| format!("A1;{cell}\n"))
        .collect();
    let text = format!("Anchor;Torque (Nm)\n{}", rows.concat());
    let report = accepted(text.as_bytes(), &two_columns(), &specification(&["A1"], plain_demand()));
    assert_eq!(report.totals.rows_in_error, rows.len(), "{:#?}", report.mistakes);
}
