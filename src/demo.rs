//! The demo vehicle: the Fernhill travelling library, an invented van.

/// Name and CSV of each invented recess, shallowest first.
pub const DEMO_RECESSES: [(&str, &str); 5] = [
    (
        "shallow-step",
        include_str!("../profiles/recesses/shallow-step.csv"),
    ),
    (
        "v-groove",
        include_str!("../profiles/recesses/v-groove.csv"),
    ),
    (
        "crowned-round",
        include_str!("../profiles/recesses/crowned-round.csv"),
    ),
    (
        "asymmetric-channel",
        include_str!("../profiles/recesses/asymmetric-channel.csv"),
    ),
    (
        "deep-channel",
        include_str!("../profiles/recesses/deep-channel.csv"),
    ),
];

/// Name and CSV of the invented record of post-heating of its sliding door.
pub const DEMO_HEAT: (&str, &str) = (
    "sliding-door-heat",
    include_str!("../profiles/heat/sliding-door-heat.csv"),
);
