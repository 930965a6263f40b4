//! What a car's pieces are made of, as far as the eye is concerned: one palette for the window, the page and the model.

use crate::space::Kind;

/// What a piece is made of, as far as the eye is concerned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stuff {
    /// Tyre rubber.
    Rubber,
    /// Cast aluminium.
    Alloy,
    /// Bright tube.
    Tube,
    /// Machined upright.
    Upright,
    /// Damper body.
    Damper,
    /// Spring.
    Spring,
    /// Spring steel, plates and driveshafts.
    Bar,
    /// Bare sheet steel of a rail.
    Steel,
    /// A thin skin that can be seen through.
    Skin,
    /// Splitter board.
    Board,
    /// A point that can be marked, in the window.
    Mark,
}

impl Stuff {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::Rubber,
        Self::Alloy,
        Self::Tube,
        Self::Upright,
        Self::Damper,
        Self::Spring,
        Self::Bar,
        Self::Steel,
        Self::Skin,
        Self::Board,
        Self::Mark,
    ];

    /// Of a part that is measured.
    pub fn of(kind: Kind) -> Self {
        match kind {
            Kind::Tyre => Self::Rubber,
            Kind::Rim => Self::Alloy,
            Kind::Brake | Kind::Damper => Self::Damper,
            Kind::Spring => Self::Spring,
            Kind::Arm | Kind::TieRod | Kind::Tube => Self::Tube,
            Kind::Axle | Kind::Block => Self::Upright,
            Kind::RollBar | Kind::Driveshaft | Kind::Plate => Self::Bar,
            Kind::Rail => Self::Steel,
            Kind::Splitter => Self::Board,
            Kind::Panel | Kind::Ground => Self::Skin,
        }
    }

    /// Its colour, 0xrrggbb, sRGB.
    pub fn colour(self) -> u32 {
        match self {
            Self::Rubber => 0x4c_4e52,
            Self::Alloy => 0xd5_d6d4,
            Self::Tube => 0x7f_93ab,
            Self::Upright => 0xa9_acb0,
            Self::Damper => 0xc2_a35c,
            Self::Spring => 0x6b_6f76,
            Self::Bar => 0x8a_7f96,
            Self::Steel => 0xc4_bcab,
            Self::Skin => 0xb9_b09b,
            Self::Board => 0x6a_6660,
            Self::Mark => 0x1c_4585,
        }
    }

    /// How much it hides of what lies behind, 0 to 1.
    pub fn alpha(self) -> f64 {
        if self == Self::Skin { 0.32 } else { 1.0 }
    }

    /// As a model for other programs names it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Rubber => "rubber",
            Self::Alloy => "alloy",
            Self::Tube => "tube",
            Self::Upright => "upright",
            Self::Damper => "damper",
            Self::Spring => "spring",
            Self::Bar => "bar",
            Self::Steel => "steel",
            Self::Skin => "skin",
            Self::Board => "board",
            Self::Mark => "mark",
        }
    }
}
