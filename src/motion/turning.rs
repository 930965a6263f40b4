//! A lever that a rod turns about a fixed axis: a rocker, an anti-roll bar's lever, an idler arm.

use nalgebra::Vector3;

use super::real::{Real, k};

/// A vector turned about a unit axis (Rodrigues' formula).
pub(super) fn about<T: Real>(axis: Vector3<T>, angle: T, v: Vector3<T>) -> Vector3<T> {
    let along = axis * axis.dot(&v);
    along + (v - along) * angle.cos() + axis.cross(&v) * angle.sin()
}

/// A lever on a fixed axis, with a rod of constant length to its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Turning<T: Real> {
    /// A point of its axis, mm.
    pivot: Vector3<T>,
    /// Its axis, unit.
    pub axis: Vector3<T>,
    /// Its end from the pivot as measured, mm.
    lever: Vector3<T>,
    /// The rod's length, mm.
    rod: T,
    /// Which of the two ways the rod and the lever can stand: as they did when measured.
    bend: T,
}

/// How the far end of a lever's rod moves, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Driven<T: Real> {
    /// Along the rod, by its speed alone, at most.
    pub along: T,
    /// From where its speed alone would take it, at most.
    pub bent: T,
    /// Altogether, at most.
    pub most: T,
}

impl<T: Real> Turning<T> {
    /// As measured, the rod's far end at `driver`.
    pub fn new(pivot: Vector3<T>, axis: Vector3<T>, end: Vector3<T>, driver: Vector3<T>) -> Self {
        let lever = end - pivot;
        let bend = if axis.cross(&lever).dot(&(driver - pivot)) > T::zero() { -T::one() } else { T::one() };
        Self { pivot, axis, lever, rod: (end - driver).norm(), bend }
    }

    /// What its end's place along the rod's far end asks for, and what the two directions of its swing have of it: with
    /// the lever at t, a cos t + b sin t = asked.
    fn asked(&self, driver: Vector3<T>) -> (T, T, T) {
        // |lever - d| = rod, so lever . d is known.
        let d = driver - self.pivot;
        let along = self.axis * self.axis.dot(&self.lever);
        let aside = self.lever - along;
        let dot = (self.lever.norm_squared() + d.norm_squared() - self.rod * self.rod) * k(0.5);
        (aside.dot(&d), self.axis.cross(&aside).dot(&d), dot - along.dot(&d))
    }

    /// Positive while the rod reaches, nought at the end of the swing.
    pub fn slack(&self, driver: Vector3<T>) -> T {
        let (a, b, asked) = self.asked(driver);
        a * a + b * b - asked * asked
    }

    /// How far it has turned from where it was measured, radians, with the rod's far end at `driver`. None where the
    /// rod cannot reach: the lever is at the end of its swing.
    pub fn angle(&self, driver: Vector3<T>) -> Option<T> {
        let (a, b, asked) = self.asked(driver);
        let cosine = asked / (a * a + b * b).sqrt();
        let reaches = cosine.abs() < T::one();
        reaches.then(|| {
            let angle = b.atan2(a) + self.bend * cosine.acos();
            // Within half a turn of where it was measured.
            let half = T::pi();
            if angle > half {
                angle - half - half
            } else if angle < -half {
                angle + half + half
            } else {
                angle
            }
        })
    }

    /// A point of the lever that was measured at `p`, with the rod's far end at `driver`.
    pub fn carry(&self, p: Vector3<T>, driver: Vector3<T>) -> Option<Vector3<T>> {
        Some(self.pivot + about(self.axis, self.angle(driver)?, p - self.pivot))
    }

    /// Its end with the rod's far end at `driver`.
    pub fn end(&self, driver: Vector3<T>) -> Option<Vector3<T>> {
        self.carry(self.pivot + self.lever, driver)
    }

    /// How fast it turns, radians, when the rod's far end moves at `speed`. None at the end of its swing.
    pub fn turns(&self, driver: Vector3<T>, speed: Vector3<T>) -> Option<T> {
        let end = self.end(driver)?;
        let rod = end - driver;
        // Along the rod both its ends move alike.
        let per = rod.dot(&self.axis.cross(&(end - self.pivot)));
        (per.abs() > k(1e-9)).then(|| rod.dot(&speed) / per)
    }

    /// How fast its end moves when the rod's far end moves at `speed`.
    pub fn end_speed(&self, driver: Vector3<T>, speed: Vector3<T>) -> Option<Vector3<T>> {
        let end = self.end(driver)?;
        Some(self.axis.cross(&(end - self.pivot)) * self.turns(driver, speed)?)
    }

    /// How fast a point of it that now lies at `at` moves when the rod's far end moves at `speed`.
    pub fn speed_at(&self, at: Vector3<T>, driver: Vector3<T>, speed: Vector3<T>) -> Option<Vector3<T>> {
        Some(self.axis.cross(&(at - self.pivot)) * self.turns(driver, speed)?)
    }

    /// How far a point of it that now lies at `at` can move, mm, while the rod's far end moves no further than `by` from
    /// where it is. None where that cannot be said.
    pub fn leeway(&self, at: Vector3<T>, driver: Vector3<T>, by: T) -> Option<T> {
        let [angle, _] = self.turn_leeway(driver, Driven { along: by, bent: T::zero(), most: by })?;
        Some(angle * (at - self.pivot).cross(&self.axis).norm())
    }

    /// How far it can turn, radians, and how far that can be from what the driver's speed alone would turn it by. None
    /// where that cannot be said.
    pub fn turn_leeway(&self, driver: Vector3<T>, by: Driven<T>) -> Option<[T; 2]> {
        let half = k::<T>(0.5);
        let end = self.end(driver)?;
        let rod = (end - driver).normalize();
        let radius = self.radius();
        // How much a turn of the lever moves its end along the rod, per radian.
        let per = rod.dot(&self.axis.cross(&(end - self.pivot))).abs();
        if per < radius * k(1e-3) {
            return None;
        }
        let straight = by.along / per;
        let least = (by.along + by.bent) / per;
        let mut angle = least;
        for _ in 0..30 {
            let moved = radius * angle + by.most;
            let next = least + (half * angle * angle * radius + half * moved * moved / self.rod) / per;
            if next <= angle {
                return (angle - least <= angle * k(0.25) + k(1e-12)).then(|| [angle, angle - straight]);
            }
            angle = next * k(1.001) + k(1e-12);
            let small = angle < k(0.5);
            if !small {
                return None;
            }
        }
        None
    }

    /// Its end's distance from the axis, mm.
    pub fn radius(&self) -> T {
        self.axis.cross(&self.lever).norm()
    }
}
