//! What leaves the shop: the page to send to the customer, and the car as a model for other programs.

pub mod glb;
pub mod mesh;
pub mod page;
pub mod poses;
