//! The general march on drawn sections: it ends, and even film is the closed form.

mod common;

use common::{exact, level_valley, section};
use proptest::prelude::*;
use tautspan::{Bed, Bonds, Conditions, LayError, Order, Point, Recess, StretchLaw, Warm};

fn recess(points: &[Point]) -> Option<Recess> {
    Recess::find(section(points), exact()).ok()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    // Reference: the closed form; 1e-8 relative is what the march promises.
    #[test]
    fn even_film_through_the_march_is_the_closed_form(
        points in level_valley(0.0),
        reach in (0.0..80.0, 0.0..80.0),
        pad in prop_oneof![Just(0.0), 0.0..10.0],
    ) {
        let Some(recess) = recess(&points) else { return Ok(()) };
        let bed = Bed::new(&recess, pad, 0.0);
        let bonds = Bonds::with_reach(&recess, reach.0, reach.1);
        let Ok(plain) = bed.lay(bonds, Order::DeepestFirst) else { return Ok(()) };
        let nearly = Conditions { lip_friction: 1e-13, ..Conditions::default() };
        let laid = bed.lay_under(bonds, Order::DeepestFirst, &nearly).unwrap();
        let (p, q) = (plain.peak(&bed).unwrap().lambda, laid.peak(&bed).unwrap().lambda);
        prop_assert!((q / p - 1.0).abs() < 1e-8, "{p} {q}");
    }

    #[test]
    fn every_condition_ends_with_all_film_down(
        points in level_valley(0.0),
        reach in (0.0..80.0, 0.0..80.0),
        pad in 0.5..10.0,
        mu in 0.0..0.6,
        drag in prop_oneof![Just(0.0), 0.0..0.01],
        soft in 0.1..1.0,
        flats in any::<bool>(),
        edge in any::<bool>(),
    ) {
        let Some(recess) = recess(&points) else { return Ok(()) };
        let bed = Bed::new(&recess, pad, 0.0);
        let bonds = Bonds::with_reach(&recess, reach.0, reach.1);
        let law = StretchLaw::NeoHookean(soft);
        let conditions = Conditions {
            lip_friction: mu,
            drag,
            warm: if flats { Warm::Flats(law) } else { Warm::Mouth(law) },
            ..Conditions::default()
        };
        let order = if edge { Order::EdgeFirst } else { Order::DeepestFirst };
        let Ok(plain) = bed.lay(bonds, order) else { return Ok(()) };
        // Known gap: edge-first beyond a hundredfold stretch stalls, which is an error; the
        // film between the fronts is then a difference of positions without digits.
        if plain.peak(&bed).is_none_or(|p| p.lambda > 100.0) {
            return Ok(());
        }
        let laid = match bed.lay_under(bonds, order, &conditions) {
            Err(LayError::Ridge) => return Ok(()),
            laid => laid.unwrap(),
        };
        if laid.is_finite() {
            let peak = laid.peak(&bed).unwrap().lambda;
            prop_assert!(peak >= 1.0 + plain.mean() - 1e-6, "{peak} under the mean");
            let end = laid.film(laid.bonds().1).unwrap();
            prop_assert!((end - laid.bridge()).abs() < 1e-6);
        }
    }
}
