//! `water.json`: turnover, doses, chlorine, acid, cells, breakpoint.

use crate::cases::{Answer, Case, Failure, check, number, unknown};
use padlore_core::science::carbonate::{Composition, acid_demand};
use padlore_core::science::chlorine::{
    CyanurateModel, PK_2019, combined, hypochlorous_pk, hypochlorous_share, pk_7a,
};
use padlore_core::science::saturation::Water;
use padlore_core::science::water::{
    BREAKPOINT_PRACTICE, CYANURATE_PER_CYANURIC_ACID, CalciumChloride, ChlorineCompound,
    HYDROCHLORIC_ACID_MOL_PER_L, acid_ml, alkalinity_drop, bicarbonate_g, breakpoint_chlorine,
    calcium_chloride_g, cell_chlorine_g_per_h, chlorine_to_breakpoint, dry_chlorine_g,
    flow_for_turnover_m3_per_h, hypochlorite_ml, mass_g, rectangular_m3, rise_by_production,
    round_m3, share_to_drain, thiosulfate_mg_per_l, turnover_h, volumes_to_flush,
};

#[test]
fn water() -> Result<(), Failure> {
    check("water.json", &[], answer)
}

fn compound(name: &str) -> Result<ChlorineCompound, Failure> {
    Ok(match name {
        "Cl2" => ChlorineCompound::Chlorine,
        "NaOCl" => ChlorineCompound::SodiumHypochlorite,
        "Ca(OCl)2" => ChlorineCompound::CalciumHypochlorite,
        "LiOCl" => ChlorineCompound::LithiumHypochlorite,
        "trichlor" => ChlorineCompound::Trichloroisocyanurate,
        "NaDCC" | "dichlor" => ChlorineCompound::Dichloroisocyanurate,
        "NaDCC.2H2O" => ChlorineCompound::DichloroisocyanurateDihydrate,
        other => return Err(format!("no compound `{other}`").into()),
    })
}

fn answer(case: &Case) -> Answer {
    let volume = || case.input("volume", "m3");
    let mg_per_l = |name: &str| case.input(name, "mg/L");
    let ph = || case.input("pH", "pH");
    let celsius = || case.input("temperature", "degC");
    match case.kind.as_str() {
        "turnover" if case.has("flow") => {
            let hours = turnover_h(volume()?, case.input("flow", "m3/h")?)?;
            Ok(vec![
                number("turnover", hours, "h"),
                number("turnovers_per_day", 24.0 / hours, "1/d"),
            ])
        }
        "turnover" => Ok(vec![number(
            "flow",
            flow_for_turnover_m3_per_h(volume()?, case.input("turnover", "h")?)?,
            "m3/h",
        )]),
        "volume" if case.has("diameter") => Ok(vec![number(
            "volume",
            round_m3(case.input("diameter", "m")?, case.input("depth", "m")?)?,
            "m3",
        )]),
        "volume" => {
            let depths = (case.input("shallow", "m")?, case.input("deep", "m")?);
            let found = rectangular_m3(
                case.input("length", "m")?,
                case.input("width", "m")?,
                depths,
            )?;
            Ok(vec![number("volume", found, "m3")])
        }
        "salt mass" => {
            let grams = mass_g(volume()?, mg_per_l("salt_target")? - mg_per_l("salt_now")?)?;
            Ok(vec![
                number("salt", grams, "g"),
                number("salt_kg", grams, "g"),
            ])
        }
        "partial drain" => {
            let (now, target) = (mg_per_l("now")?, mg_per_l("target")?);
            let share = share_to_drain(now, target)?;
            // The note tells how many volumes a flow-through exchange takes, to a thousandth.
            let told = case
                .note
                .rsplit_once(" = ")
                .and_then(|(_, rest)| rest.strip_suffix(" volumes"));
            let told: f64 = told.ok_or("the note tells no volumes")?.parse()?;
            assert!(
                (volumes_to_flush(now, target)? - told).abs() < 0.000_6,
                "{}",
                case.id
            );
            Ok(vec![
                number("drain", share * volume()?, "m3"),
                number("fraction", share, "1"),
            ])
        }
        "available chlorine" => {
            let share = compound(case.text("compound")?)?.available_chlorine();
            Ok(vec![number("available_chlorine", share, "1")])
        }
        "cyanurate added" => {
            let name = case
                .id
                .strip_prefix("water.cya-per-chlorine.")
                .ok_or("odd id")?
                .trim_end_matches(".text");
            let added = compound(name)?.cyanuric_acid_per_chlorine() * mg_per_l("free_chlorine")?;
            Ok(vec![
                number("cyanuric_acid", added, "mg/L"),
                number("cyanurate", added * CYANURATE_PER_CYANURIC_ACID, "mg/L"),
            ])
        }
        "hypochlorite dose" => {
            let ml = hypochlorite_ml(volume()?, mg_per_l("rise")?, case.input("strength", "1")?)?;
            Ok(vec![
                number("volume_mL", ml, "mL"),
                number("volume_floz", ml, "mL"),
            ])
        }
        "dry chlorine dose" => {
            let grams = dry_chlorine_g(
                volume()?,
                mg_per_l("rise")?,
                case.input("available_chlorine", "1")?,
            )?;
            Ok(vec![
                number("mass", grams, "g"),
                number("mass_oz", grams, "g"),
            ])
        }
        "alkalinity dose" => Ok(vec![number(
            "NaHCO3",
            bicarbonate_g(volume()?, mg_per_l("rise")?)?,
            "g",
        )]),
        "alkalinity reduction" => {
            let drop = alkalinity_drop(
                case.input("acid", "mL")?,
                HYDROCHLORIC_ACID_MOL_PER_L,
                volume()?,
            )?;
            Ok(vec![number("drop", drop, "mg/L")])
        }
        "hardness dose" => {
            let dose = |form| {
                calcium_chloride_g(form, volume()?, mg_per_l("rise")?).map_err(Failure::from)
            };
            Ok(vec![
                number("CaCl2", dose(CalciumChloride::Anhydrous)?, "g"),
                number("CaCl2.2H2O", dose(CalciumChloride::Dihydrate)?, "g"),
            ])
        }
        "cyanuric acid dose" => Ok(vec![number(
            "cyanuric_acid",
            mass_g(volume()?, mg_per_l("rise")?)?,
            "g",
        )]),
        "HOCl fraction" => {
            let pk = if case.has("pKa") {
                case.input("pKa", "1")?
            } else {
                hypochlorous_pk(celsius()?)?
            };
            let share = hypochlorous_share(ph()?, pk)?;
            Ok(vec![
                number("HOCl_fraction", share, "1"),
                number("OCl_fraction", 1.0 - share, "1"),
            ])
        }
        "pKa of HOCl" => Ok(vec![number("pKa", hypochlorous_pk(celsius()?)?, "1")]),
        "HOCl with cyanuric acid" => {
            let model = if case.id.starts_with("water.cya.obrien.") {
                CyanurateModel::Full1974
            } else {
                CyanurateModel::Simple2019
            };
            assert_eq!(celsius()?, 25.0, "{}: the models hold at 25 °C", case.id);
            let found = model.unbound(
                ph()?,
                mg_per_l("free_chlorine")?,
                mg_per_l("cyanuric_acid")?,
            )?;
            case.closer("HOCl", found.hypochlorous, 2e-5)?;
            Ok(vec![
                number("HOCl", found.hypochlorous, "mg/L"),
                number("OCl", found.hypochlorite, "mg/L"),
                number("unbound_share", found.share, "1"),
            ])
        }
        "equilibrium constant" => {
            let of_temperature = case.id.ends_with('C');
            let first = if of_temperature {
                pk_7a(celsius()?)?
            } else {
                PK_2019.0
            };
            Ok(vec![
                number("pK7a", first, "1"),
                number("pK9a", PK_2019.1, "1"),
            ])
        }
        "acid demand" => demanded(case),
        "electrolysis" => {
            let gaps = (1..=40).find(|n| {
                case.input("gaps", "1")
                    .is_ok_and(|gaps| gaps == f64::from(*n))
            });
            let share = if case.has("current_efficiency") {
                case.input("current_efficiency", "1")?
            } else {
                1.0
            };
            let made = cell_chlorine_g_per_h(
                case.input("current", "A")?,
                gaps.ok_or("odd number of gaps")?,
                share,
            )?;
            let mut found = vec![
                number("chlorine", made, "g/h"),
                number("per_day", made, "g/h"),
            ];
            if case.has("run") {
                let rise = rise_by_production(
                    made,
                    case.input("run", "h")?,
                    case.input("duty", "1")?,
                    volume()?,
                )?;
                found.push(number("rise", rise, "mg/L"));
            }
            Ok(found)
        }
        "breakpoint" if case.has("combined_chlorine") => {
            let more = chlorine_to_breakpoint(mg_per_l("combined_chlorine")?)?;
            Ok(vec![number(
                "additional_chlorine_stoichiometric",
                more,
                "mg/L",
            )])
        }
        "breakpoint" => {
            let ammonia = mg_per_l("ammonia")?;
            let chlorine = breakpoint_chlorine(ammonia)?;
            let mut found = vec![
                number("chlorine", chlorine, "mg/L"),
                number("practice_low", BREAKPOINT_PRACTICE.0 * ammonia, "mg/L"),
                number("practice_high", BREAKPOINT_PRACTICE.1 * ammonia, "mg/L"),
            ];
            if case.has("volume") {
                found.push(number("mass", mass_g(volume()?, chlorine)?, "g"));
            }
            Ok(found)
        }
        "combined chlorine" => {
            let found = combined(mg_per_l("total_chlorine")?, mg_per_l("free_chlorine")?)?;
            Ok(vec![number("combined_chlorine", found, "mg/L")])
        }
        "dechlorination" => Ok(vec![number(
            "Na2S2O3.5H2O",
            thiosulfate_mg_per_l(mg_per_l("free_chlorine")?)?,
            "mg/L",
        )]),
        _ => unknown(case),
    }
}

fn demanded(case: &Case) -> Answer {
    let mg_per_l = |name: &str| case.input(name, "mg/L");
    let (ph, target) = (case.input("pH_now", "pH")?, case.input("pH_target", "pH")?);
    let celsius = case.input("temperature", "degC")?;
    let (hardness, alkalinity) = (
        mg_per_l("calcium_hardness")?,
        mg_per_l("carbonate_alkalinity")?,
    );
    let composition = Composition::new(hardness, alkalinity, mg_per_l("tds")?)?;
    let demand = acid_demand(composition, ph, target, celsius)? * 1000.0;
    case.cross("acid_mmol", demand, 1e-4 * demand)?;
    // The road that a tested water takes must come out the same where it holds no cyanurate.
    let water = Water {
        ph,
        celsius,
        calcium_hardness: hardness,
        total_alkalinity: alkalinity,
        cyanuric_acid: 0.0,
        dissolved_solids: mg_per_l("tds")?,
    };
    assert!(
        (water.acid_demand_mol_per_m3(target)? / demand - 1.0).abs() < 1e-9,
        "{}",
        case.id
    );
    let ten_thousand_gallons_m3 = padlore_core::science::units::convert(10_000.0, "gal", "m3")?;
    let ml = acid_ml(demand, ten_thousand_gallons_m3, HYDROCHLORIC_ACID_MOL_PER_L)?;
    Ok(vec![
        number("acid", demand, "mmol H+ per kg water"),
        number(
            "alkalinity_drop",
            alkalinity_drop(ml, HYDROCHLORIC_ACID_MOL_PER_L, ten_thousand_gallons_m3)?,
            "mg/L",
        ),
        number("acid_10M_per_10000gal", ml, "mL"),
    ])
}

#[test]
fn impossible_doses_are_refused() {
    assert!(turnover_h(60.0, 0.0).is_err() && turnover_h(f64::NAN, 10.0).is_err());
    assert!(mass_g(60.0, -100.0).is_err() && mass_g(0.0, 100.0).is_err());
    assert!(share_to_drain(50.0, 60.0).is_err() && share_to_drain(0.0, 0.0).is_err());
    assert!(volumes_to_flush(50.0, 0.0).is_err());
    assert!(hypochlorite_ml(60.0, 3.0, 0.0).is_err() && dry_chlorine_g(60.0, 3.0, 65.0).is_err());
    assert!(
        cell_chlorine_g_per_h(5.0, 0, 0.9).is_err() && cell_chlorine_g_per_h(5.0, 6, 1.5).is_err()
    );
    assert!(rise_by_production(40.0, 8.0, 1.5, 60.0).is_err());
    assert!(rectangular_m3(10.0, 5.0, (1.0, 0.0)).is_err() && round_m3(-1.0, 1.0).is_err());
    assert!(acid_ml(0.1, 60.0, 0.0).is_err() && breakpoint_chlorine(-0.1).is_err());
}

/// Only the isocyanurates bring cyanuric acid.
#[test]
fn hypochlorites_bring_no_cyanuric_acid() {
    for plain in [
        ChlorineCompound::Chlorine,
        ChlorineCompound::SodiumHypochlorite,
        ChlorineCompound::CalciumHypochlorite,
        ChlorineCompound::LithiumHypochlorite,
    ] {
        assert_eq!(plain.cyanuric_acid_per_chlorine(), 0.0, "{plain:?}");
    }
}
