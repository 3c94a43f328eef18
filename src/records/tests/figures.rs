//! Statistics, histograms and the series.

use super::*;

fn of(values: &[f64]) -> Statistics<f64> {
    Statistics::of(values.iter().copied(), |value| value)
}

#[test]
fn mean_and_sample_deviation_are_those_of_a_pull_out_series() {
    // Computed independently: mean 18.860, s with n − 1 0.99649, variation 5.284 %.
    let statistics = of(&[18.2, 19.5, 17.6, 20.1, 18.9]);
    let near = |value: Option<f64>, expected: f64, tolerance: f64| {
        assert!((value.expect("a figure") - expected).abs() <= tolerance, "{value:?}, expected {expected}");
    };
    near(statistics.mean, 18.86, 1e-12);
    near(statistics.deviation, 0.99649, 5e-6);
    near(statistics.variation, 0.05284, 5e-6);
    assert_eq!((statistics.count, statistics.least, statistics.greatest), (5, Some(17.6), Some(20.1)));
}

#[test]
fn figures_that_a_small_sample_does_not_have_are_absent() {
    let none = of(&[]);
    assert_eq!((none.count, none.mean, none.deviation, none.variation, none.least), (0, None, None, None, None));
    let one = of(&[60.0]);
    assert_eq!((one.mean, one.deviation, one.variation), (Some(60.0), None, None));
    assert_eq!(of(&[0.0, 0.0]).variation, None);
}

#[test]
fn a_small_spread_about_a_large_mean_keeps_its_figures() {
    // From memory of the NIST Statistical Reference Datasets, univariate, NumAcc4: mean 10000000.2, deviation 0.1 of 1001 values.
    let values: Vec<f64> =
        std::iter::once(10_000_000.2).chain((0..500).flat_map(|_| [10_000_000.1, 10_000_000.3])).collect();
    let statistics = of(&values);
    assert!((statistics.mean.expect("a mean") - 10_000_000.2).abs() < 1e-8);
    // The numbers themselves are only known to 2e-9 in binary.
    assert!((statistics.deviation.expect("a deviation") - 0.1).abs() < 1e-8);
}

#[test]
fn classes_are_round_and_hold_every_value() {
    let values = [57.6, 58.0, 59.9, 60.0, 60.0, 60.1, 62.4];
    let histogram = Histogram::of(values.into_iter());
    // Seven values ask for three classes of 1.6, so that they are 2 wide.
    assert_eq!(histogram.width.0 / histogram.width.1, 2.0);
    assert_eq!(histogram.counts, [1, 2, 3, 1]);
    assert_eq!((0..=4).map(|class| histogram.limit(class)).collect::<Vec<_>>(), [56.0, 58.0, 60.0, 62.0, 64.0]);
}

#[test]
fn a_value_on_a_limit_belongs_to_the_class_above_it() {
    // 0.3 / 0.1 is less than 3 in binary.
    let histogram = Histogram::of([0.0, 0.1, 0.2, 0.3].into_iter());
    assert_eq!(histogram.width.0 / histogram.width.1, 0.2);
    assert_eq!(histogram.counts, [2, 2]);
    let depths = Histogram::of([0.068, 0.070, 0.072, 0.074].into_iter());
    assert_eq!((depths.width, depths.limit(0)), ((5.0, 1000.0), 0.065));
    assert_eq!(depths.counts, [1, 3]);
}

#[test]
fn equal_values_and_none_have_classes_too() {
    assert_eq!(Histogram::of([60.0, 60.0].into_iter()).counts, [2]);
    assert_eq!(Histogram::of([0.0].into_iter()).counts, [1]);
    assert_eq!(Histogram::of(std::iter::empty()), Histogram::default());
}

#[test]
fn a_series_is_by_time_and_thinned_without_losing_outliers() {
    let anchors = ["A1", "A2", "A3", "A4", "A5"];
    let text = "Anchor,Torque (Nm),Time\nA5,60,2026-11-02 09:00\nA1,70,2026-11-02 08:00\nA2,61,2026-11-02 08:10\n\
                A3,50,2026-11-02 08:20\nA4,click,2026-11-02 08:25\n";
    let mapping = two_columns().column(Field::Time, "Time");
    let report = accepted(text.as_bytes(), &mapping, &specification(&anchors, plain_demand()));
    let greatest = |most: usize| {
        report.series(most).iter().map(|stretch| stretch.greatest.get::<newton_meter>()).collect::<Vec<_>>()
    };
    assert_eq!(greatest(10), [70.0, 61.0, 50.0, 60.0]);
    assert_eq!(greatest(2), [70.0, 60.0]);
    let stretches = report.series(2);
    assert_eq!((stretches[1].count, stretches[1].out_of_band), (2, 1));
    assert_eq!(stretches[1].least, torque(50.0));
    assert!(stretches[0].until < stretches[1].from);
    assert_eq!(report.series(0).len(), 1);
    assert_eq!(report.overall.torque.count, 4);
}

#[test]
fn the_longest_run_out_of_band_follows_time() {
    let anchors = ["A1", "A2", "A3", "A4"];
    let text = "Anchor,Torque (Nm),Time\nA1,70,2026-11-02 08:00\nA2,60,2026-11-02 08:30\nA3,50,2026-11-02 08:20\n\
                A4,71,2026-11-02 08:10\n";
    let mapping = two_columns().column(Field::Time, "Time");
    let report = accepted(text.as_bytes(), &mapping, &specification(&anchors, plain_demand()));
    assert_eq!((report.overall.longest_run, report.bases[0].longest_run), (3, 3));
    let report = accepted(text.as_bytes(), &two_columns(), &specification(&anchors, plain_demand()));
    assert_eq!(report.overall.longest_run, 2);
}
