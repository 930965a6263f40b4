//! What is asked of a search, and who watches it.

/// What is asked of routes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RouteAsk {
    /// The share of the stiffness as found that is wanted back.
    pub share: f64,
    /// How many are told of each cut.
    pub best: usize,
}

impl Default for RouteAsk {
    fn default() -> Self {
        Self { share: 1.0, best: 3 }
    }
}

/// Who watches a search, and can stop it.
#[derive(Clone, Copy)]
pub struct Watch<'a> {
    /// Is told how far it is, 0 to 1.
    pub progress: &'a (dyn Fn(f64) + Sync),
    /// Is asked now and then whether to stop.
    pub stop: &'a (dyn Fn() -> bool + Sync),
}

impl Watch<'_> {
    /// Nobody.
    pub const NOBODY: Self = Self { progress: &|_| (), stop: &|| false };
}
