//! Many comparisons, told together.

use nalgebra::Vector3;

/// What a comparison found: the worst difference of each kind over its tolerance, and where.
#[derive(Default)]
pub struct Worst {
    pub misses: Vec<String>,
    pub compared: usize,
}

impl Worst {
    pub fn number(&mut self, what: &str, got: f64, want: f64, tolerance: f64) {
        self.compared += 1;
        // Written so that a NaN misses.
        let near = (got - want).abs() <= tolerance;
        if !near {
            self.misses.push(format!("{what}: {got} against {want}, off by {:.2e}", got - want));
        }
    }

    pub fn point(&mut self, what: &str, got: Vector3<f64>, want: [f64; 3], tolerance: f64) {
        for k in 0..3 {
            self.number(&format!("{what}.{}", ["x", "y", "z"][k]), got[k], want[k], tolerance);
        }
    }

    pub fn done(self, at_least: usize) {
        let (few, many) = (&self.misses[..self.misses.len().min(20)], self.misses.len());
        assert!(self.misses.is_empty(), "{many} of {} differ:\n{}", self.compared, few.join("\n"));
        assert!(self.compared >= at_least, "only {} numbers were compared", self.compared);
    }
}
