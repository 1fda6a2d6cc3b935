//! Fish, what is dissolved in the water, and the sides a bed is worked from.

/// The fish.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fish {
    /// How many.
    pub count: u32,
    /// Mass of one now `[kg]`.
    pub mass: f64,
    /// Feed of all together `[kg/s]`; `None`: by their mass.
    pub feed: Option<f64>,
    /// Mass of one when it is taken out `[kg]`.
    pub harvest_mass: f64,
}

/// Mass at which a fish is taken out where nothing else is said `[kg]`; common practice, no source.
pub const USUAL_HARVEST: f64 = 0.5;

/// What is dissolved in the water: hardness, salts, whatever the owner measured `[kg/m3]`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dissolved {
    /// In the water that the system is filled with; `None`: as in the top-off.
    pub filled: Option<f64>,
    /// In the top-off, by float valve or by hand; `None`: as in what it is filled with.
    pub top_off: Option<f64>,
}

impl Dissolved {
    /// In the water that the system was filled with, where that is known `[kg/m3]`.
    pub fn at_start(&self) -> Option<f64> {
        self.filled.or(self.top_off)
    }

    /// In what is topped up, where that is known `[kg/m3]`.
    pub fn topped_up(&self) -> Option<f64> {
        self.top_off.or(self.filled)
    }
}

/// Water that runs into the sump without end: condensate, filtered water, a slow tap.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// What the owner calls it.
    pub name: String,
    /// Flow `[m3/s]`.
    pub flow: f64,
    /// What is dissolved in it `[kg/m3]`; `None`: not told.
    pub dissolved: Option<f64>,
}

/// A side of a bed. Front and back run along its length, left and right along its width.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// One of the long sides.
    Front,
    /// The other.
    Back,
    /// One end.
    Left,
    /// The other.
    Right,
}

impl Side {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Front, Self::Back, Self::Left, Self::Right];

    /// The word for it.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Back => "back",
            Self::Left => "left",
            Self::Right => "right",
        }
    }
}
