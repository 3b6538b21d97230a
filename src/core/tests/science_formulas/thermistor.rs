//! `thermistor.json`: beta and Steinhart-Hart equations in 30-digit arithmetic.

use crate::cases::{Answer, Case, Failure, check, number, unknown};
use padlore_core::science::thermistor::{Beta, Judgement, SteinhartHart, TEN_KILOHM_EXAMPLE};

#[test]
fn thermistor() -> Result<(), Failure> {
    check("thermistor.json", &[], answer)
}

fn beta(case: &Case) -> Result<Beta, Failure> {
    Ok(Beta::new(
        case.input("r25", "ohm")?,
        case.input("beta", "K")?,
    )?)
}

fn steinhart_hart(case: &Case) -> Result<SteinhartHart, Failure> {
    Ok(SteinhartHart {
        a: case.input("A", "1/K")?,
        b: case.input("B", "1/K")?,
        c: case.input("C", "1/K")?,
    })
}

fn coefficients(curve: SteinhartHart) -> Answer {
    Ok(vec![
        number("A", curve.a, "1/K"),
        number("B", curve.b, "1/K"),
        number("C", curve.c, "1/K"),
    ])
}

fn answer(case: &Case) -> Answer {
    let celsius = || case.input("temperature", "degC");
    let ohm = |name| case.input(name, "ohm");
    match case.kind.as_str() {
        "resistance from temperature" if case.has("beta") => {
            let curve = beta(case)?;
            // The note tells what a resistance 1 % off does to the reading, to a thousandth of a kelvin.
            let told = case
                .note
                .strip_prefix("a 1 % resistance error reads as ")
                .and_then(|rest| rest.split_once(" K"));
            let told: f64 = told.ok_or("the note tells no error")?.0.parse()?;
            let error = curve.error_k(0.01, celsius()?)?;
            assert!(
                (error - told).abs() < 0.000_6,
                "{}: {error} K, told {told} K",
                case.id
            );
            Ok(vec![number(
                "resistance",
                curve.resistance_ohm(celsius()?)?,
                "ohm",
            )])
        }
        "resistance from temperature" => Ok(vec![number(
            "resistance",
            steinhart_hart(case)?.resistance_ohm(celsius()?)?,
            "ohm",
        )]),
        "temperature from resistance" if case.has("beta") => Ok(vec![number(
            "temperature",
            beta(case)?.celsius(ohm("resistance")?)?,
            "degC",
        )]),
        "temperature from resistance" => Ok(vec![number(
            "temperature",
            steinhart_hart(case)?.celsius(ohm("resistance")?)?,
            "degC",
        )]),
        "published coefficients" => coefficients(TEN_KILOHM_EXAMPLE),
        "coefficient fit" => coefficients(SteinhartHart::through([
            (50.0, ohm("r_50C")?),
            (0.0, ohm("r_0C")?),
            (25.0, ohm("r_25C")?),
        ])?),
        "beta from two points" => {
            let point = |t, r| Ok::<_, Failure>((case.input(t, "degC")?, ohm(r)?));
            Ok(vec![number(
                "beta",
                Beta::through(point("t1", "r1")?, point("t2", "r2")?)?.beta_k(),
                "K",
            )])
        }
        "fault reading" => {
            let (curve, resistance) = (beta(case)?, ohm("resistance")?);
            let fault = if case.id == "ntc.fault.open" {
                Judgement::Open
            } else {
                Judgement::Shorted
            };
            assert_eq!(curve.judge(resistance)?, fault, "{}", case.id);
            Ok(vec![number(
                "temperature",
                curve.celsius(resistance)?,
                "degC",
            )])
        }
        _ => unknown(case),
    }
}

#[test]
fn what_is_no_thermistor_is_refused() -> Result<(), Failure> {
    assert!(Beta::new(0.0, 3435.0).is_err() && Beta::new(10_000.0, f64::NAN).is_err());
    assert!(Beta::through((25.0, 10_000.0), (50.0, 20_000.0)).is_err());
    assert!(Beta::through((25.0, 10_000.0), (25.0, 9_000.0)).is_err());
    let curve = Beta::new(10_000.0, 3435.0)?;
    assert!(
        curve.celsius(0.0).is_err() && curve.celsius(-5.0).is_err() && curve.celsius(1e-9).is_err()
    );
    assert!(curve.resistance_ohm(-300.0).is_err());
    assert_eq!(curve.judge(f64::INFINITY)?, Judgement::Open);
    assert_eq!(curve.judge(0.0)?, Judgement::Shorted);
    assert_eq!(curve.judge(1e-9)?, Judgement::Shorted);
    assert!(
        matches!(curve.judge(10_000.0)?, Judgement::Temperature { celsius } if (celsius - 25.0).abs() < 1e-9)
    );
    assert!(curve.judge(f64::NAN).is_err() && curve.judge(-1.0).is_err());
    Ok(())
}

#[test]
fn both_descriptions_run_there_and_back() -> Result<(), Failure> {
    let beta = Beta::through((0.0, 32_650.0), (25.0, 10_000.0))?;
    assert!((beta.r25_ohm() - 10_000.0).abs() < 1e-6);
    let straight = SteinhartHart {
        a: 6.726_946_4e-4,
        b: 2.911_208_2e-4,
        c: 0.0,
    };
    for celsius in [-20.0, 0.0, 25.0, 40.0, 90.0] {
        assert!((beta.celsius(beta.resistance_ohm(celsius)?)? - celsius).abs() < 1e-9);
        for curve in [TEN_KILOHM_EXAMPLE, straight] {
            assert!(
                (curve.celsius(curve.resistance_ohm(celsius)?)? - celsius).abs() < 1e-7,
                "{curve:?} {celsius}"
            );
        }
    }
    Ok(())
}
