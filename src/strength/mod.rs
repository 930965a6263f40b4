//! What the parts of the car carry.

pub mod forces;
