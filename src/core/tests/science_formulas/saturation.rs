//! `saturation-index.json`: factor table, short formula, full calculation, cyanurate.

use crate::cases::{Answer, Case, Failure, LeftOut, check, number, unknown};
use padlore_core::science::carbonate::log_k;
use padlore_core::science::saturation::{
    TABLE_BAND, TABLE_CONSTANT, Water, carbonate_alkalinity, cyanurate_alkalinity_factor,
    cyanuric_pk, simplified_ph_s, table_factors, table_index,
};

const LEFT_OUT: [LeftOut<'static>; 2] = [
    (
        "si.logK.calcite.25C",
        "equation",
        "a text; the kind `equilibrium constants` holds its values",
    ),
    (
        "si.cya.pK.25C",
        "equation",
        "a text; the kind `cyanurate alkalinity factor` depends on its values",
    ),
];

#[test]
fn saturation() -> Result<(), Failure> {
    check("saturation-index.json", &LEFT_OUT, answer)
}

fn answer(case: &Case) -> Answer {
    let ph = || case.input("pH", "pH");
    let celsius = || case.input("temperature", "degC");
    let mg_per_l = |name: &str| case.input(name, "mg/L");
    match case.kind.as_str() {
        "factor table row" => {
            // A row of one factor, the others from rows that the table has.
            let (mut t, mut calcium, mut alkalinity) = (0.0, 5.0, 5.0);
            if case.expected.contains_key("TF") {
                t = case.input("x", "degC")?;
            } else if case.expected.contains_key("CF") {
                calcium = mg_per_l("x")?;
            } else {
                alkalinity = mg_per_l("x")?;
            }
            let found = table_factors(t, calcium, alkalinity)?;
            Ok(vec![
                number("TF", found.temperature, "1"),
                number("CF", found.calcium, "1"),
                number("AF", found.alkalinity, "1"),
            ])
        }
        // The text of the code takes the total alkalinity, and a constant of 12.1.
        "worked example" => {
            let found = table_factors(
                celsius()?,
                mg_per_l("calcium_hardness")?,
                mg_per_l("total_alkalinity")?,
            )?;
            Ok(vec![
                number("TF", found.temperature, "1"),
                number("CF", found.calcium, "1"),
                number("AF", found.alkalinity, "1"),
                number("SI", table_index(ph()?, found, 0.0)?, "1"),
            ])
        }
        "acceptance band" => Ok(vec![
            number("lower", TABLE_BAND.0, "1"),
            number("upper", TABLE_BAND.1, "1"),
            number("optimum", f64::midpoint(TABLE_BAND.0, TABLE_BAND.1), "1"),
        ]),
        "TDS constant" => Ok(vec![
            number("below_1000", TABLE_CONSTANT.0, "1"),
            number("above_1000", TABLE_CONSTANT.1, "1"),
        ]),
        "factor table method" | "factor table method, linear interpolation" => {
            let found = table_factors(
                celsius()?,
                mg_per_l("calcium_hardness")?,
                mg_per_l("carbonate_alkalinity")?,
            )?;
            Ok(vec![number(
                "SI",
                table_index(ph()?, found, mg_per_l("tds")?)?,
                "1",
            )])
        }
        "simplified pHs formula" => {
            let saturated = simplified_ph_s(
                celsius()?,
                mg_per_l("calcium_hardness")?,
                mg_per_l("carbonate_alkalinity")?,
                mg_per_l("tds")?,
            )?;
            Ok(vec![
                number("pHs", saturated, "pH"),
                number("SI", ph()? - saturated, "1"),
            ])
        }
        "equilibrium constant" => {
            let logs = log_k(celsius()?)?;
            Ok(vec![match case.id.as_str() {
                "si.logK.calcite.25C" => number("logK", logs.calcite, "1"),
                "si.logK.aragonite.25C" => number("logK", logs.aragonite, "1"),
                "si.logK.CaCO3pair.25C" => number("logK", logs.calcium_carbonate, "1"),
                "si.logK.CaHCO3pair.25C" => number("logK", logs.calcium_bicarbonate, "1"),
                "si.cya.pK.25C" => number("pK", cyanuric_pk(celsius()?)?, "1"),
                _ => return unknown(case),
            }])
        }
        "equilibrium constants" => {
            let logs = log_k(celsius()?)?;
            Ok(vec![
                number("calcite", logs.calcite, "1"),
                number("K1", logs.first, "1"),
                number("K2", logs.second, "1"),
                number("CaHCO3", logs.calcium_bicarbonate, "1"),
                number("CaCO3", logs.calcium_carbonate, "1"),
            ])
        }
        "cyanurate alkalinity factor" => {
            let factor = cyanurate_alkalinity_factor(ph()?, celsius()?)?;
            Ok(vec![number(
                "factor",
                factor,
                "mg/L CaCO3 per mg/L cyanuric acid",
            )])
        }
        "carbonate alkalinity" => {
            let (total, cyanuric) = (mg_per_l("total_alkalinity")?, mg_per_l("cyanuric_acid")?);
            let left = carbonate_alkalinity(total, cyanuric, ph()?, celsius()?)?;
            Ok(vec![number("carbonate_alkalinity", left, "mg/L")])
        }
        "full calculation" => {
            let water = Water {
                ph: ph()?,
                celsius: celsius()?,
                calcium_hardness: mg_per_l("calcium_hardness")?,
                total_alkalinity: mg_per_l("total_alkalinity")?,
                cyanuric_acid: mg_per_l("cyanuric_acid")?,
                dissolved_solids: mg_per_l("tds")?,
            };
            let carbonate = water.carbonate_alkalinity()?;
            assert!(
                (carbonate / mg_per_l("carbonate_alkalinity")? - 1.0).abs() < 1e-6,
                "{}: {carbonate}",
                case.id
            );
            let found = water.index()?;
            // The second route is this very model; only its permittivity of water comes from another formulation.
            let (strength, carbon) = (found.ionic_strength, found.inorganic_carbon * 1000.0);
            case.cross("SI", found.calcite_index, 0.000_4)?;
            case.cross("ionic_strength", strength, 5e-5 * strength)?;
            case.cross("inorganic_carbon_mmol", carbon, 1e-4 * carbon)?;
            let short = simplified_ph_s(
                water.celsius,
                water.calcium_hardness,
                carbonate,
                water.dissolved_solids,
            )?;
            case.cross("simplified_pHs_SI", water.ph - short, 0.000_6)?;
            Ok(vec![
                number("SI", found.calcite_index, "1"),
                number("ionic_strength", strength, "mol/kgw"),
                number("inorganic_carbon", carbon, "mmol/kgw"),
            ])
        }
        _ => unknown(case),
    }
}
