//! The table of units: one row a unit.
//!
//! A row gives the symbol that is printed, other accepted spellings, the type of `uom` that the unit belongs to,
//! the exact factor to the coherent SI unit, and where that factor is defined.
//! The dimension comes from the type, so it is written nowhere else.
//! Powers and compounds (`mm²`, `kN·m`, `kg/m³`) need no row.
//!
//! The factors of `uom` for US customary units are rounded, and not all alike: `lbf` is 8.6e-8 too large, `psi`
//! 4.3e-8 too small. The factors below are the exact definitions and are the ones used; the tests hold the rows
//! of [`SI`] and [`ACCEPTED`] against those of `uom`, and every row against an independent table.

use super::dimension::{Dimension, weight_density};
use uom::si::{
    acceleration, angle, area, energy, force, frequency, length, mass, power, pressure, ratio, surface_tension,
    temperature_interval, time, volume,
};

/// The International System of Units itself, with its prefixes.
pub const SI: &str = "SI Brochure, 9th edition, tables 2, 4 and 7";
/// Units that the SI Brochure accepts beside the SI.
pub const ACCEPTED: &str = "SI Brochure, 9th edition, table 8";
/// The standard acceleration due to gravity.
pub const GRAVITY: &str = "3rd General Conference on Weights and Measures, 1901, declaration on weight";
/// The international foot and pound, exact since 1959.
pub const CUSTOMARY: &str = "NIST SP 811 (2008), appendix B, exact foot and pound";
/// A force or pressure that follows from the exact pound, foot and standard gravity.
pub const DERIVED: &str = "NIST SP 811 (2008), appendix B, from exact pound, foot and gravity";
/// Proportions: per cent and per mille.
pub const PROPORTION: &str = "ISO 80000-1:2022, on the number one";

/// One unit.
#[derive(Debug)]
pub struct Row {
    /// The symbol as ISO 80000 or the trade prints it.
    pub symbol: &'static str,
    /// Other spellings that are read as this unit.
    pub spellings: &'static [&'static str],
    /// The dimension, which comes from the type of `uom`.
    pub dimension: Dimension,
    /// The exact factor to the coherent SI unit: a decimal, or two with a `/` between them.
    pub factor: &'static str,
    /// The factor that `uom` has for the unit, if it knows the unit; for comparison only.
    pub uom_factor: Option<fn() -> f64>,
    /// Where the factor is defined.
    pub source: &'static str,
}

/// Finds a unit by its symbol or another spelling; case counts, since `mN` is not `MN`.
pub fn find(spelling: &str) -> Option<&'static Row> {
    TABLE.iter().find(|row| row.symbol == spelling || row.spellings.contains(&spelling))
}

/// Makes rows of `symbol [spellings], quantity(unit in uom, if it has one), factor, source;`.
macro_rules! table {
    ($($symbol:literal $spellings:tt, $quantity:ident($($unit:ident)?), $factor:literal, $source:ident;)+) => {
        &[$(Row {
            symbol: $symbol,
            spellings: &$spellings,
            dimension: Dimension::of::<$quantity::Dimension>(),
            factor: $factor,
            uom_factor: table!(@factor $($quantity $unit)?),
            source: $source,
        }),+]
    };
    (@factor) => { None };
    (@factor $quantity:ident $unit:ident) => {
        Some(<$quantity::$unit as uom::Conversion<f64>>::coefficient)
    };
}

/// Every unit, in the order in which documents list them.
#[rustfmt::skip]
pub static TABLE: &[Row] = table! {
    // Length, area, volume
    "nm" [],            length(nanometer),                          "0.000000001",                      SI;
    "µm" ["μm", "um"],  length(micrometer),                         "0.000001",                         SI;
    "mm" [],            length(millimeter),                         "0.001",                            SI;
    "cm" [],            length(centimeter),                         "0.01",                             SI;
    "dm" [],            length(decimeter),                          "0.1",                              SI;
    "m" [],             length(meter),                              "1",                                SI;
    "km" [],            length(kilometer),                          "1000",                             SI;
    "in" ["inch"],      length(inch),                               "0.0254",                           CUSTOMARY;
    "ft" ["foot"],      length(foot),                               "0.3048",                           CUSTOMARY;
    "yd" [],            length(yard),                               "0.9144",                           CUSTOMARY;
    "mi" [],            length(mile),                               "1609.344",                         CUSTOMARY;
    "ha" [],            area(hectare),                              "10000",                            ACCEPTED;
    "mL" ["ml"],        volume(milliliter),                         "0.000001",                         ACCEPTED;
    "L" ["l"],          volume(liter),                              "0.001",                            ACCEPTED;
    "gal" [],           volume(gallon),                             "0.003785411784",                   CUSTOMARY;
    // Mass, force, weight
    "mg" [],            mass(milligram),                            "0.000001",                         SI;
    "g" [],             mass(gram),                                 "0.001",                            SI;
    "kg" [],            mass(kilogram),                             "1",                                SI;
    "Mg" [],            mass(megagram),                             "1000",                             SI;
    "t" [],             mass(ton),                                  "1000",                             ACCEPTED;
    "oz" [],            mass(ounce),                                "0.028349523125",                   CUSTOMARY;
    "lb" [],            mass(pound),                                "0.45359237",                       CUSTOMARY;
    "slug" [],          mass(slug),                                 "4.4482216152605/0.3048",           DERIVED;
    "mN" [],            force(millinewton),                         "0.001",                            SI;
    "N" [],             force(newton),                              "1",                                SI;
    "kN" [],            force(kilonewton),                          "1000",                             SI;
    "MN" [],            force(meganewton),                          "1000000",                          SI;
    "ozf" [],           force(ounce_force),                         "0.27801385095378125",              DERIVED;
    "lbf" [],           force(pound_force),                         "4.4482216152605",                  DERIVED;
    "kip" ["kips"],     force(kip),                                 "4448.2216152605",                  DERIVED;
    "plf" [],           surface_tension(),                          "4.4482216152605/0.3048",           DERIVED;
    "klf" [],           surface_tension(),                          "4448.2216152605/0.3048",           DERIVED;
    "pcf" [],           weight_density(),                           "4.4482216152605/0.028316846592",   DERIVED;
    "kcf" [],           weight_density(),                           "4448.2216152605/0.028316846592",   DERIVED;
    // Stress, energy, power
    "Pa" [],            pressure(pascal),                           "1",                                SI;
    "hPa" [],           pressure(hectopascal),                      "100",                              SI;
    "kPa" [],           pressure(kilopascal),                       "1000",                             SI;
    "MPa" [],           pressure(megapascal),                       "1000000",                          SI;
    "GPa" [],           pressure(gigapascal),                       "1000000000",                       SI;
    "psf" [],           pressure(pound_force_per_square_foot),      "4.4482216152605/0.09290304",       DERIVED;
    "ksf" [],           pressure(),                                 "4448.2216152605/0.09290304",       DERIVED;
    "psi" [],           pressure(psi),                              "4.4482216152605/0.00064516",       DERIVED;
    "ksi" [],           pressure(kip_per_square_inch),              "4448.2216152605/0.00064516",       DERIVED;
    "J" [],             energy(joule),                              "1",                                SI;
    "kJ" [],            energy(kilojoule),                          "1000",                             SI;
    "W" [],             power(watt),                                "1",                                SI;
    "kW" [],            power(kilowatt),                            "1000",                             SI;
    // Time, acceleration, temperature difference
    "ms" [],            time(millisecond),                          "0.001",                            SI;
    "s" ["sec"],        time(second),                               "1",                                SI;
    "min" [],           time(minute),                               "60",                               ACCEPTED;
    "h" ["hr"],         time(hour),                                 "3600",                             ACCEPTED;
    "d" [],             time(day),                                  "86400",                            ACCEPTED;
    "Hz" [],            frequency(hertz),                           "1",                                SI;
    "g_n" [],           acceleration(standard_gravity),             "9.80665",                          GRAVITY;
    "K" [],             temperature_interval(kelvin),               "1",                                SI;
    "°C" ["℃"],         temperature_interval(degree_celsius),       "1",                                SI;
    // Angles and proportions; the degree is π/180 to 24 figures, which round to the nearest f64
    "rad" [],           angle(radian),                              "1",                                SI;
    "mrad" [],          angle(),                                    "0.001",                            SI;
    "°" ["deg"],        angle(degree),                              "0.0174532925199432957692369",      ACCEPTED;
    "%" [],             ratio(percent),                             "0.01",                             PROPORTION;
    "‰" [],             ratio(per_mille),                           "0.001",                            PROPORTION;
};
