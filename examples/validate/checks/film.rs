//! The film: its law, what peels it, what an infrared thermometer reads of it.

use super::{Group, Row, Standing};
use tautspan::evidence::heat::corrected;
use tautspan::film::{Number, Peel, StretchLaw};

pub(crate) fn groups() -> Vec<Group> {
    vec![law(), treloar(), rivlin(), kendall(), infrared()]
}

fn law() -> Group {
    let unit = StretchLaw::NeoHookean(1.0);
    let table = [
        (1.05, 0.186_162_40),
        (1.1, 0.348_685_20),
        (1.2, 0.621_296_30),
        (1.3, 0.844_833_86),
        (1.5, 1.203_703_70),
        (2.0, 1.875),
    ];
    let rows = table.into_iter().flat_map(|(lambda, force): (f64, f64)| {
        let there = unit.tension(lambda);
        let back = unit.lambda(force);
        [
            Row::new(
                format!("force at stretch {lambda}"),
                "P/G",
                force,
                there,
                6e-9,
            ),
            Row::new(
                format!("stretch at that force, {lambda}"),
                "stretch",
                lambda,
                back,
                6e-9,
            ),
        ]
    });
    Group {
        title: "Plane strain, incompressible neo-Hookean",
        source: "P/G = lambda - lambda^-3, Treloar, The Physics of Rubber Elasticity",
        standing: Standing::Memory,
        tolerance: "half a unit of the last of 8 decimals",
        rows: rows.collect(),
    }
}

fn treloar() -> Group {
    let measured = [
        (1.03, 0.0667),
        (1.12, 0.1589),
        (1.19, 0.2452),
        (1.31, 0.3326),
        (1.46, 0.4189),
        (1.84, 0.5925),
    ];
    let law = |lambda: f64| StretchLaw::NeoHookean(1.0).tension(lambda);
    let above: f64 = measured.iter().map(|&(lambda, p)| law(lambda) * p).sum();
    let below: f64 = measured
        .iter()
        .map(|&(lambda, _)| law(lambda).powi(2))
        .sum();
    let modulus = above / below;
    let left = measured
        .iter()
        .map(|&(lambda, p)| (p - modulus * law(lambda)).powi(2));
    let rms = (left.sum::<f64>() / 6.0).sqrt();
    Group {
        title: "The law through measured rubber, stretch up to 2",
        source: "Treloar, Trans. Faraday Soc. 40 (1944) 59, pure shear, in an MIT-licensed table; digitisations differ by 4 %; least squares through the origin, computed apart",
        standing: Standing::Read,
        tolerance: "half a unit of the last decimal printed",
        rows: vec![
            Row::new("least-squares modulus", "MPa", 0.366_315, modulus, 5e-7),
            Row::new("residual, root mean square", "MPa", 0.0190, rms, 5e-5),
        ],
    }
}

fn peel(force: f64, width: f64, angle: f64) -> Peel {
    let own = |value: f64| Number {
        value,
        source: "of this check".to_owned(),
    };
    Peel {
        force_n: own(force),
        width_mm: own(width),
        angle_deg: own(angle),
    }
}

fn rivlin() -> Group {
    let row = |(force, angle, energy): (f64, f64, f64)| {
        let found = 1000.0 * peel(force, 25.0, angle).energy();
        Row::new(
            format!("{force} N/25 mm at {angle} degrees"),
            "J/m2",
            energy,
            found,
            1e-9,
        )
    };
    Group {
        title: "The energy of a peel test",
        source: "f (1 - cos th) = R, Rivlin, Paint Technology 9 (1944) 215",
        standing: Standing::Memory,
        tolerance: "rounding",
        rows: [(1.0, 90.0, 40.0), (1.0, 180.0, 80.0), (10.0, 180.0, 800.0)]
            .map(row)
            .to_vec(),
    }
}

fn kendall() -> Group {
    let (stiffness, energy) = (2000.0, 500.0);
    let row = |(angle, force): (f64, f64)| {
        // N/m is N a width of 1000 mm; J/m2 is 1000 N/mm.
        let rivlin = 1000.0 * peel(force, 1000.0, angle).energy();
        let found = rivlin + force * force / (2.0 * stiffness);
        Row::new(
            format!("{force} N/m at {angle} degrees, with the strip's own stretch"),
            "J/m2",
            energy,
            found,
            2e-6,
        )
    };
    Group {
        title: "What a peel test's energy lacks is the stretch of the strip",
        source: "f^2/(2 E d) + f (1 - cos th) = R, Kendall, J. Phys. D 8 (1975) 1449, E d 2000 N/m, R 500 J/m2",
        standing: Standing::Read,
        tolerance: "forces printed to 6 decimals",
        rows: [
            (10.0, 1_384.155_437),
            (30.0, 1_171.424_550),
            (45.0, 944.947_292),
            (90.0, 449.489_743),
            (180.0, 242.640_687),
        ]
        .map(row)
        .to_vec(),
    }
}

fn infrared() -> Group {
    let row = |(read, set, film, within): (f64, f64, f64, f64)| {
        let found = corrected(read, set, 0.93, 20.0).unwrap_or(f64::NAN);
        Row::new(
            format!("read {read} at {set}, dull PVC of 0.93 at 20 degC"),
            "degC",
            film,
            found,
            within,
        )
    };
    Group {
        title: "Infrared readings of film",
        source: "T^4 = [es Tr^4 + (e - es) Ts^4]/e, kelvin; emissivity of dull PVC: instrument manuals",
        standing: Standing::Read,
        tolerance: "half a unit of the last decimal printed",
        rows: [
            (60.0, 1.0, 62.48, 5e-3),
            (80.0, 1.0, 83.44, 5e-3),
            (97.0, 0.95, 98.2, 5e-2),
        ]
        .map(row)
        .to_vec(),
    }
}
