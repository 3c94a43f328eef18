//! Encodings, delimiters, headers, units, numbers and times.

use super::*;
use crate::text::SourceFile;

/// A file of two sound rows, whatever it is written in, gives 60.5 N·m and 59 N·m.
#[track_caller]
fn check(bytes: &[u8]) -> Report {
    let report = accepted(bytes, &two_columns(), &specification(&["A1", "A2"], plain_demand()));
    assert_eq!(torques(&report), [60.5, 59.0]);
    assert_eq!(report.totals.passed, 2);
    report
}

#[test]
fn delimiters_are_found_by_the_header() {
    let cases = [
        (Delimiter::Comma, "Anchor,Torque (Nm)\nA1,60.5\nA2,59\n"),
        (Delimiter::Semicolon, "Anchor;Torque (Nm)\nA1;60,5\nA2;59\n"),
        (Delimiter::Tab, "Anchor\tTorque (Nm)\nA1\t60.5\nA2\t59\n"),
        (Delimiter::Pipe, "Anchor|Torque (Nm)\nA1|60.5\nA2|59\n"),
    ];
    for (delimiter, text) in cases {
        assert_eq!(check(text.as_bytes()).notes.delimiter, delimiter, "{text}");
    }
}

#[test]
fn a_comma_in_a_header_does_not_hide_the_semicolons() {
    check(b"Anchor;Torque (Nm);Name, first;Name, last\nA1;60,5;x, y;z\nA2;59,0;x;z\n");
}

#[test]
fn a_stated_delimiter_is_the_only_one_tried() {
    let mapping = Mapping { delimiter: Some(Delimiter::Tab), ..two_columns() };
    let told = refusal(b"Anchor,Torque (Nm)\nA1,60\n", &mapping, &specification(&["A1"], plain_demand()));
    assert_eq!(told, "line 1: found the headers `Anchor,Torque (Nm)`, expected the columns `Anchor`, `Torque` as well");
}

#[test]
fn encodings_are_told_apart() {
    let text = "Anchor,Torque (N·m)\nA1,60.5\nA2,59\n";
    let with_mark = |mark: &[u8], bytes: Vec<u8>| [mark, &bytes].concat();
    let utf16 = |join: fn(u16) -> [u8; 2]| text.encode_utf16().flat_map(join).collect::<Vec<u8>>();
    let windows = text.chars().map(|c| u8::try_from(u32::from(c)).expect("below 256")).collect::<Vec<u8>>();
    let cases = [
        (Encoding::Utf8, text.as_bytes().to_vec()),
        (Encoding::Utf8, with_mark(b"\xef\xbb\xbf", text.as_bytes().to_vec())),
        (Encoding::Utf16LittleEndian, with_mark(b"\xff\xfe", utf16(u16::to_le_bytes))),
        (Encoding::Utf16BigEndian, with_mark(b"\xfe\xff", utf16(u16::to_be_bytes))),
        (Encoding::Windows1252, windows),
    ];
    for (encoding, bytes) in cases {
        assert_eq!(check(&bytes).notes.encoding, encoding);
    }
    // Table of Windows-1252 by the Encoding Standard: 0x80 is the euro sign, 0x96 an en dash, 0xe9 an é.
    assert_eq!(decode(b"\x80\x96\xe9").expect("text").text, "€–é");
}

#[test]
fn what_is_no_text_is_refused_with_its_line() {
    let told = |bytes: &[u8]| decode(bytes).expect_err("no text").to_string();
    assert!(told(b"a\nb\x81").starts_with("line 2: found the byte 0x81, which is neither UTF-8 nor Windows-1252"));
    assert!(told(b"\xff\xfea\0\n\0b").starts_with("line 2: found half a character of UTF-16"));
    assert!(told(b"\xff\xfe\x00\xd8a\0").starts_with("line 1: found half a character of UTF-16"));
    assert!(told(b"\xef\xbb\xbfa\n\xff").starts_with("line 2: found bytes that are not UTF-8"));
    assert!(told(b"a\r\nb\0").starts_with("line 2: found a NUL character"));
}

#[test]
fn line_ends_quotes_and_blank_lines_are_taken_as_they_come() {
    for end in ["\n", "\r\n", "\r"] {
        let text =
            "Anchor,Torque (Nm),Remark\n\nA1,60.5,\"gap, \"\"shim\"\"\n2 mm\"\n , ,\n\nA2,59,\n\n".replace('\n', end);
        let mapping = two_columns().column(Field::Remark, "Remark");
        let report = accepted(text.as_bytes(), &mapping, &specification(&["A1", "A2"], plain_demand()));
        assert_eq!(report.notes.blank_rows, 4, "{end:?}");
        assert_eq!(report.totals.rows_read, 2);
        let rows: Vec<_> =
            report.anchors.iter().filter_map(|verdict| verdict.row).map(|row| report.record(row)).collect();
        assert_eq!(rows[0].remark.replace(end, "\n"), "gap, \"shim\"\n2 mm");
        assert_eq!((rows[0].line, rows[1].line), (3, 7), "{end:?}");
    }
    check(b"Anchor,Torque (Nm)\nA1,60.5\nA2,59");
}

#[test]
fn a_preamble_is_passed_over_and_counted() {
    let text = "sep=;\nLogbook \"9\nSite;Fellmere Tram Depot\n\nAnchor;Torque (Nm)\nA1;60,5\nA2;59\n";
    let report = check(text.as_bytes());
    assert_eq!((report.notes.preamble_lines, report.notes.header_line), (4, 5));
}

#[test]
fn headers_name_their_unit_in_many_ways() {
    let cases = [
        "Torque (Nm)",
        "TORQUE (N m)",
        "Torque [N·m]",
        "torque_Nm",
        "Torque/N.m",
        " to rque ( N⋅m ) ",
        "Torque (N*m)",
        "Torque/(N·m)",
    ];
    for header in cases {
        check(format!("anchor,{header}\nA1,60.5\nA2,59\n").as_bytes());
    }
    check(b"Anchor,Torque (Ncm)\nA1,6050\nA2,5900\n");
    check(b"Anchor,Torque (kNmm)\nA1,60.5\nA2,59\n");
    check(b"Anchor,Torque (kNm)\nA1,0.0605\nA2,0.059\n");
}

#[test]
fn a_unit_may_stand_in_the_mapping_and_must_agree_with_the_header() {
    let newton_metre = crate::quantity::Unit::parse("N·m").expect("a unit");
    let mapping = Mapping { torque_unit: Some(newton_metre), ..two_columns() };
    let specification = specification(&["A1"], plain_demand());
    assert_eq!(torques(&accepted(b"Anchor,Torque\nA1,60.5\n", &mapping, &specification)), [60.5]);
    let told = refusal(b"Anchor,Torque (kN.m)\nA1,0.06\n", &mapping, &specification);
    assert_eq!(told, "line 1: column `Torque (kN.m)`: found the unit `kN·m`, expected `N·m`, as the mapping says");
}

#[test]
fn a_unit_that_is_missing_unknown_or_of_another_kind_is_refused() {
    let specification = specification(&["A1"], plain_demand());
    let told = |header: &str| refusal(format!("Anchor,{header}\nA1,60\n").as_bytes(), &two_columns(), &specification);
    assert!(told("Torque").contains("found a header without a unit, expected a unit, as in `Torque (N·m)`"));
    assert!(told("Torque (kN)").contains("found the unit `kN`, a force (kN), expected a unit of a moment (kN·m)"));
    assert!(told("Torque (set)").contains("found `set` for a unit, expected a unit"));
    assert!(told("Torque_nm").contains("found the unit `nm`, a length (mm)"));
}

#[test]
fn missing_columns_are_told_all_at_once_with_those_that_are_there() {
    let mapping = two_columns().column(Field::Time, "Time").column(Field::Tool, "Tool no");
    let told = refusal(b"x\nAnchor;Torqe (Nm);Tool no.\nA1;60;7\n", &mapping, &specification(&["A1"], plain_demand()));
    assert_eq!(
        told,
        "line 2: found the headers `Anchor`, `Torqe (Nm)`, `Tool no.`, expected the columns `Torque`, `Time`, `Tool no` \
         as well; did you mean `Tool no.` by `Tool no`?"
    );
}

#[test]
fn a_column_that_is_there_twice_is_refused() {
    let told =
        refusal(b"Anchor,Torque (Nm),torque [Nm]\nA1,60,61\n", &two_columns(), &specification(&["A1"], plain_demand()));
    assert_eq!(told, "line 1: column `Torque (Nm)`: found the column twice, expected one column for the torque");
}

#[test]
fn a_column_decides_its_decimal_mark_over_all_rows() {
    let read = |cells: [&str; 2]| {
        let text = format!("Anchor;Torque (Nm)\nA1;{}\nA2;{}\n", cells[0], cells[1]);
        torques(&accepted(text.as_bytes(), &two_columns(), &specification(&["A1", "A2"], plain_demand())))
    };
    assert_eq!(read(["1,234", "60,5"]), [1.234, 60.5]);
    assert_eq!(read(["0.125", "1.234"]), [0.125, 1.234]);
    assert_eq!(read(["1\u{a0}234,5", "+60"]), [1234.5, 60.0]);
    assert_eq!(read(["6.05e1", "1'234"]), [60.5, 1234.0]);
    assert_eq!(read(["60", ",5"]), [60.0, 0.5]);
}

#[test]
fn a_number_with_two_readings_is_refused_with_both() {
    let text = b"Anchor;Torque (Nm)\nA2;60\nA1;1,234\n";
    let specification = specification(&["A1", "A2"], plain_demand());
    let told = refusal(text, &two_columns(), &specification);
    assert_eq!(
        told,
        "line 3: column `Torque (Nm)`: found `1,234`, which is 1.234 with a decimal comma and 1234 with a decimal point, \
         and no other cell of the column tells which, expected a number with one reading; say which decimal \
         mark the file has"
    );
    let comma = Mapping { decimal_mark: Some(DecimalMark::Comma), ..two_columns() };
    assert_eq!(torques(&accepted(text, &comma, &specification)), [1.234, 60.0]);
    let grouped = Mapping { groups: Some(DecimalMark::Comma), ..two_columns() };
    assert_eq!(torques(&accepted(text, &grouped, &specification)), [1234.0, 60.0]);
    // That commas part thousands has to be said: a decimal point alone does not say so.
    let point = Mapping { decimal_mark: Some(DecimalMark::Point), ..two_columns() };
    let report = accepted(text, &point, &specification);
    assert_eq!(report.anchors[0].state, State::Unreadable);
    assert_eq!(
        report.mistakes[0].to_string(),
        "line 3: column `Torque (Nm)`: found `1,234`, expected a number of at least 0 with a decimal point and no commas: \
         the sheet does not say that commas part thousands, in N·m, or `click`"
    );
}

#[test]
fn a_value_with_the_other_mark_is_refused_unless_the_sheet_says_that_it_parts_thousands() {
    let specification = specification(&["A1", "A2"], plain_demand());
    let text = |cells: [&str; 2]| format!("Anchor;Torque (Nm)\nA1;{}\nA2;{}\n", cells[0], cells[1]);
    let told = refusal(text(["71.2", "65,500"]).as_bytes(), &two_columns(), &specification);
    assert_eq!(
        told,
        "line 3: column `Torque (Nm)`: found `65,500` among numbers with a decimal point, such as `71.2` on line 2, expected \
         one decimal mark in all rows; correct it, or say that commas part thousands in this file"
    );
    for cells in [["71,2", "65.500"], ["1.234", "1.234,5"], ["1,234,567", "1.234"], ["1,234", "1.234"]] {
        refusal(text(cells).as_bytes(), &two_columns(), &specification);
    }
    let grouped = |mark| Mapping { groups: Some(mark), ..two_columns() };
    let read = |cells, mark| torques(&accepted(text(cells).as_bytes(), &grouped(mark), &specification));
    assert_eq!(read(["1,234", "60.5"], DecimalMark::Comma), [1234.0, 60.5]);
    assert_eq!(read(["1.234", "1.234,5"], DecimalMark::Point), [1234.0, 1234.5]);
    assert_eq!(read(["1,234,567", "1.234"], DecimalMark::Comma), [1_234_567.0, 1.234]);
    let both = Mapping { decimal_mark: Some(DecimalMark::Comma), ..grouped(DecimalMark::Comma) };
    let told = refusal(text(["60", "61"]).as_bytes(), &both, &specification);
    assert_eq!(told, "found one mark for decimals and for parting thousands, expected two marks");
}

#[test]
fn the_columns_of_a_file_have_one_decimal_mark() {
    let demand = Demand { embedment: Some(depth()), ..plain_demand() };
    let specification = specification(&["A1"], demand);
    let mapping = two_columns().column(Field::Embedment, "Depth");
    let told = refusal(b"Anchor;Torque (Nm);Depth (mm)\nA1;60.5;70,5\n", &mapping, &specification);
    assert_eq!(
        told,
        "line 2: column `Depth (mm)`: found `70,5` here and `60.5` in column `Torque (Nm)` on line 2, expected one decimal \
         mark in all columns of the file; say which decimal mark the file has"
    );
}

#[test]
fn both_marks_in_one_column_are_refused_with_both_places() {
    let text = "Anchor;Torque (Nm)\nA1;60.5\nA2;59,5\n";
    let specification = specification(&["A1", "A2"], plain_demand());
    let mistakes = judge(text.as_bytes(), &two_columns(), &specification).expect_err("both marks");
    let source = SourceFile::new("records.csv", text);
    let diagnostic = mistakes[0].diagnostic(&source);
    assert_eq!(
        diagnostic.to_string(),
        "records.csv:3:4: error[bad-data]: column `Torque (Nm)`: found `59,5` here and `60.5` on line 2, expected either \
         a decimal comma or a decimal point in all rows"
    );
    assert_eq!(diagnostic.labels.iter().map(|label| source.slice(label.span)).collect::<Vec<_>>(), ["59,5", "60.5"]);
    // The mistake is in the one that fewer are like.
    let more = format!("{text}A3;59.9\n");
    let told = refusal(more.as_bytes(), &two_columns(), &specification);
    assert!(told.starts_with("line 3: column `Torque (Nm)`: found `59,5` here and `60.5` on line 2"), "{told}");
    let more = format!("{text}A3;59,9\n");
    let told = refusal(more.as_bytes(), &two_columns(), &specification);
    assert!(told.starts_with("line 2: column `Torque (Nm)`: found `60.5` here and `59,5` on line 3"), "{told}");
    // With the mark stated, only the other row is at fault.
    let mapping = Mapping { decimal_mark: Some(DecimalMark::Point), ..two_columns() };
    let report = accepted(text.as_bytes(), &mapping, &specification);
    assert_eq!(
        report.mistakes[0].to_string(),
        "line 3: column `Torque (Nm)`: found `59,5`, expected a number of at least 0 with a decimal point, in N·m, or `click`"
    );
    assert_eq!(report.anchors[1].state, State::Unreadable);
}

/// The moments of the rows under a mapping that has a time, as day and milliseconds since that day began in UTC.
#[track_caller]
fn moments(times: &[&str], mapping: &Mapping) -> Vec<(String, i64)> {
    let anchors: Vec<String> = (1..=times.len()).map(|number| format!("A{number}")).collect();
    let rows: Vec<String> = anchors.iter().zip(times).map(|(anchor, time)| format!("{anchor};60;{time}\n")).collect();
    let text = format!("Anchor;Torque (Nm);Time\n{}", rows.concat());
    let anchors: Vec<&str> = anchors.iter().map(String::as_str).collect();
    let report = accepted(text.as_bytes(), mapping, &specification(&anchors, plain_demand()));
    assert_eq!(report.mistakes, []);
    let moment = |row: u32| report.record(row).time.expect("a time");
    let rows = report.anchors.iter().filter_map(|verdict| verdict.row).map(moment);
    rows.map(|at| (at.day.to_string(), at.milliseconds - i64::from(at.day.number()) * 86_400_000)).collect()
}

fn timed() -> Mapping {
    two_columns().column(Field::Time, "Time")
}

#[test]
fn times_are_read_in_the_forms_of_logbooks() {
    let clock = |hours: i64, minutes: i64, milliseconds: i64| (hours * 60 + minutes) * 60_000 + milliseconds;
    let day = "2026-11-02".to_owned();
    let cases = [
        ("2026-11-02 07:41", clock(7, 41, 0)),
        ("2026-11-02T07:41:12", clock(7, 41, 12_000)),
        ("2026-11-02T07:41:12.5Z", clock(7, 41, 12_500)),
        ("2026-11-02T07:41:12+01:00", clock(6, 41, 12_000)),
        ("2026-11-02 07:41 -0530", clock(13, 11, 0)),
        ("2026-11-02T00:41+01", clock(-1, 41, 0)),
        ("02.11.2026 07:41:12", clock(7, 41, 12_000)),
        ("2.11.2026, 7:41", clock(7, 41, 0)),
        ("2026/11/02 7:41 PM", clock(19, 41, 0)),
        ("2026-11-02 12:05 am", clock(0, 5, 0)),
        ("2026.11.02", 0),
        ("2026-11-02", 0),
    ];
    for (written, milliseconds) in cases {
        assert_eq!(moments(&[written], &timed()), [(day.clone(), milliseconds)], "{written}");
    }
}

#[test]
fn the_sheet_says_whether_day_or_month_stands_first_wherever_it_matters() {
    let days = |times: [&str; 2]| moments(&times, &timed()).into_iter().map(|(day, _)| day).collect::<Vec<_>>();
    assert_eq!(days(["14/11/2026 07:41", "13/11/2026 07:41"]), ["2026-11-14", "2026-11-13"]);
    assert_eq!(days(["11/14/2026 07:41", "11/13/2026 07:41"]), ["2026-11-14", "2026-11-13"]);
    assert_eq!(days(["11/11/2026", "05/05/2026"]), ["2026-11-11", "2026-05-05"]);
    let stated = |order, times: [&str; 2]| {
        let mapping = Mapping { day_order: Some(order), ..timed() };
        moments(&times, &mapping).into_iter().map(|(day, _)| day).collect::<Vec<_>>()
    };
    assert_eq!(stated(DayOrder::DayFirst, ["02/11/2026", "13/11/2026"]), ["2026-11-02", "2026-11-13"]);
    assert_eq!(stated(DayOrder::MonthFirst, ["11-02-2026", "11-13-2026"]), ["2026-11-02", "2026-11-13"]);
    // One value that can only be read with the month first must not turn all others round.
    let text = b"Anchor;Torque (Nm);Time\nA1;60;02/11/2026\nA2;60;11/14/2026\n";
    let told = refusal(text, &timed(), &specification(&["A1", "A2"], plain_demand()));
    assert_eq!(
        told,
        "line 2: column `Time`: found `02/11/2026`, which is 2026-11-02 with the day first and 2026-02-11 with the month \
         first; `11/14/2026` on line 3 alone must not decide for all, expected a day with one reading; say whether day or \
         month stands first"
    );
    let columns = timed().column(Field::CalibratedUntil, "Until");
    let text = b"Anchor;Torque (Nm);Time;Until\nA1;60;13/11/2026;12/31/2026\n";
    let told = refusal(text, &columns, &specification(&["A1"], plain_demand()));
    assert_eq!(
        told,
        "line 2: column `Time`: found `13/11/2026` here and `12/31/2026` in column `Until` on line 2, expected one order of \
         day and month in all columns of the file; say whether day or month stands first"
    );
    let text = b"Anchor;Torque (Nm);Time\nA1;60;2026-11-02 07:41\nA2;60;02/11/2026 07:41\n";
    let specification = specification(&["A1", "A2"], plain_demand());
    let told = refusal(text, &timed(), &specification);
    assert_eq!(
        told,
        "line 3: column `Time`: found `02/11/2026 07:41`, which is 2026-11-02 with the day first and 2026-02-11 with the \
         month first, and no other cell of the column tells which, expected a day with one reading; say whether day or \
         month stands first"
    );
    let stated = Mapping { day_order: Some(DayOrder::MonthFirst), ..timed() };
    assert_eq!(moments(&["02/11/2026"], &stated), [("2026-02-11".to_owned(), 0)]);
    let told = refusal(b"Anchor;Torque (Nm);Time\nA1;60;13/11/2026\nA2;60;11/13/2026\n", &timed(), &specification);
    assert_eq!(
        told,
        "line 2: column `Time`: found `13/11/2026` here and `11/13/2026` on line 3, expected either the day before the \
         month or the month before the day in all rows"
    );
}

#[test]
fn the_cell_that_decides_is_told() {
    let text = "Anchor;Torque (Nm);Time\nA1;60;14/11/2026\nA2;60,5;13/11/2026\n";
    let specification = specification(&["A1", "A2"], plain_demand());
    let notes = accepted(text.as_bytes(), &timed(), &specification).notes;
    let mark = Decision { field: Field::Torque, reading: DecimalMark::Comma, line: Some(3) };
    let order = Decision { field: Field::Time, reading: DayOrder::DayFirst, line: Some(2) };
    assert_eq!((notes.decimal_marks, notes.day_orders), (vec![mark], vec![order]));
    let stated = Mapping { day_order: Some(DayOrder::DayFirst), decimal_mark: Some(DecimalMark::Comma), ..timed() };
    let notes = accepted(text.as_bytes(), &stated, &specification).notes;
    let decided = (Decision { line: None, ..mark }, Decision { line: None, ..order });
    assert_eq!((notes.decimal_marks, notes.day_orders), (vec![decided.0], vec![decided.1]));
    let plain = b"Anchor;Torque (Nm);Time\nA1;60;2026-11-02\n";
    assert_eq!(accepted(plain, &timed(), &specification).notes.day_orders, []);
}

#[test]
fn what_is_no_time_is_an_error_of_its_row() {
    let specification = specification(&["A1"], plain_demand());
    for written in [
        "2026-02-29",
        "31.04.2026",
        "02/11/26",
        "2026-11-02 24:00",
        "2026-11-02 7:4",
        "2026-11-02 07:41:60",
        "46328.32",
        "07:41",
        "2026-11-02 13:00 PM",
        "2026-11-02 ",
        "13/13/2026",
    ] {
        let text = format!("Anchor;Torque (Nm);Time\nA1;60;{written}x\nA2;60;{written}\n");
        let report = accepted(text.as_bytes(), &timed(), &specification);
        let is_trimmed = written.ends_with(' ');
        assert_eq!(report.totals.rows_in_error, if is_trimmed { 1 } else { 2 }, "{written}");
        let expected = "expected a day, with or without a time, such as 2026-11-02 07:41";
        assert!(report.mistakes[0].to_string().ends_with(expected), "{}", report.mistakes[0]);
    }
}

#[test]
fn days_run_through_leap_years_and_back() {
    // Days since 1970 by `date -u -d DAY +%s` of GNU coreutils, divided by 86400.
    let cases = [
        ((1900, 1, 1), -25567),
        ((1969, 12, 31), -1),
        ((1970, 1, 1), 0),
        ((2000, 2, 29), 11016),
        ((2026, 11, 2), 20759),
        ((9999, 12, 31), 2_932_896),
    ];
    for ((year, month, day), number) in cases {
        let at = Day::new(year, month, day).expect("a day");
        assert_eq!(at.number(), number);
        assert_eq!(at.to_string(), format!("{year:04}-{month:02}-{day:02}"));
    }
    assert_eq!(Day::new(2100, 2, 29), None);
    assert_eq!(Day::new(2026, 4, 31), None);
}

#[test]
fn rows_of_another_width_are_errors_and_nothing_is_dropped() {
    let text = "Anchor,Torque (Nm)\nA1,60,5\nA2\nA3,60,\n,60\nEnd of log\n";
    let report = accepted(text.as_bytes(), &two_columns(), &specification(&["A1", "A2", "A3"], plain_demand()));
    let told: Vec<String> = report.mistakes.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            "line 2: found 3 fields, `A1,60,5`, expected 2, as in the header",
            "line 3: found 1 field, `A2`, expected 2, as in the header",
            "line 5: column `Anchor`: found nothing, expected the mark of the anchor",
            "line 6: found 1 field, `End of log`, expected 2, as in the header",
        ]
    );
    assert_eq!((report.totals.rows_read, report.totals.passed), (5, 1));
}

#[test]
fn empty_columns_behind_the_last_are_no_matter() {
    check(b"Anchor,Torque (Nm),,\nA1,60.5\nA2,59,,,,\n");
}

#[test]
fn mistakes_beyond_the_first_hundred_are_counted() {
    let text = format!("Anchor,Torque (Nm)\n{}", "A1,x\n".repeat(250));
    let report = accepted(text.as_bytes(), &two_columns(), &specification(&["A1"], plain_demand()));
    assert_eq!((report.mistakes.len(), report.mistake_count, report.totals.rows_in_error), (MOST_TOLD, 250, 250));
}

#[test]
fn a_second_header_is_refused_and_what_stands_above_and_beside_is_told() {
    let text = "Tool: DS-9;;\n;;\nAnchor;Torque (Nm);Spare\nA1;60,5;x\nAnchor;Torque (lbf·ft);Spare\nA2;44;x\n";
    let specification = specification(&["A1", "A2"], plain_demand());
    let told = refusal(text.as_bytes(), &two_columns(), &specification);
    assert!(told.starts_with("line 5: found a second header, expected one header, and below it rows"), "{told}");
    let report = accepted(&text.as_bytes()[..text.find("Anchor;Torque (lbf").unwrap()], &two_columns(), &specification);
    assert_eq!((report.notes.above, report.notes.not_read), (vec!["Tool: DS-9".to_owned()], vec!["Spare".to_owned()]));
    // An anchor may be called what a column is.
    let report = accepted(b"Anchor,Torque (Nm)\nAnchor,60\n", &two_columns(), &specification);
    assert_eq!(report.totals.rows_unlisted, 1);
}

#[test]
fn a_date_with_points_has_the_day_first_whatever_the_sheet_says() {
    let mapping = two_columns().column(Field::Time, "Time");
    let specification = specification(&["A1", "A2"], plain_demand());
    let points = "Anchor,Torque (Nm),Time\nA1,60,02.11.2026\nA2,60,03.11.2026\n";
    let report = accepted(points.as_bytes(), &mapping, &specification);
    assert_eq!(report.record(0).time.unwrap().day.to_string(), "2026-11-02");
    let stated = Mapping { day_order: Some(DayOrder::MonthFirst), ..mapping.clone() };
    let report = accepted(points.as_bytes(), &stated, &specification);
    assert_eq!(
        report.mistakes[0].to_string(),
        "line 2: column `Time`: found `02.11.2026`, expected a day, with or without a time, the month before the day, such as \
         2026-11-02 07:41"
    );
    // A date with strokes among them stays for the sheet to say.
    let both = points.replace("03.11.2026", "03/11/2026");
    let told = refusal(both.as_bytes(), &mapping, &specification);
    assert!(told.contains("`02.11.2026` on line 2 alone must not decide for all"), "{told}");
}

#[test]
fn times_of_twelve_and_of_twenty_four_hours_do_not_stand_in_one_column() {
    let mapping = two_columns().column(Field::Time, "Time");
    let specification = specification(&["A1", "A2", "A3"], plain_demand());
    let halves = "Anchor,Torque (Nm),Time\nA1,60,2026-11-02 1:30 PM\nA2,60,2026-11-02 11:05 am\nA3,60,2026-11-02\n";
    assert_eq!(accepted(halves.as_bytes(), &mapping, &specification).totals.passed, 3);
    let bare = halves.replace("11:05 am", "1:05");
    let told = refusal(bare.as_bytes(), &mapping, &specification);
    assert!(told.contains("expected either times with AM or PM or times of 24 hours in all rows"), "{told}");
}
