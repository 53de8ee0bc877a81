//! Two orders of pressing side by side: the same bridge, laid both ways.
//!
//!     cargo run --release --example orders

use std::error::Error;
use tautspan::{Bed, Order, Recess, Split, Survey, Units, read_shape};

const SHAPE: &str = "channel:mouth=80,floor=40,depth=25";
const BRIDGE: f64 = 150.0;

/// Highest and mean elongation of an order, percent; no highest where it has no bound.
pub(crate) fn elongations(order: Order) -> Result<(Option<f64>, f64), Box<dyn Error>> {
    let recess = Recess::find(read_shape(SHAPE, Units::Mm)?, Survey::default())?;
    // A pointed tool: no pad, no tip radius.
    let bed = Bed::new(&recess, 0.0, 0.0);
    let bonds = bed.bonds_for_bridge(BRIDGE, Split::Even)?;
    let laid = bed.lay(bonds, order)?;
    let peak = laid.peak(&bed).map(|p| 100.0 * (p.lambda - 1.0));
    Ok((peak, 100.0 * laid.mean()))
}

fn main() -> Result<(), Box<dyn Error>> {
    for order in [Order::DeepestFirst, Order::EdgeFirst] {
        let (peak, mean) = elongations(order)?;
        let peak = peak.map_or("without bound".to_owned(), |p| format!("{p:.1} %"));
        println!("{:14} highest {peak}, mean {mean:.1} %", order.name());
    }
    Ok(())
}
