//! Every piece of a car, with its mesh and how it moves.

use nalgebra::Vector3;

use super::moves::{Line, Moves};
use super::rolling;
use super::shape::Mesh;
use super::stuff::Stuff;
use crate::answer::Study;
use crate::car::axle::{Axle, Linkage, MountedOn, shaft_axis};
use crate::car::{AxleName, Hub, PointName, Side};
use crate::motion::{Posed, Suspension};
use crate::space::{Kind, Moving, Plate, Role, Solid, Spot};

/// A piece of the car that moves as one.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// As it is spoken: `left front tyre`, `left damper, rod`. No two pieces of a car share one.
    pub name: String,
    /// What it is: `tyre`, `rim`, `arm`, `upright`, `damper`, `spring`, `rail`, `tube`, `panel`, `splitter`, `block`, `scan`
    /// and the like.
    pub kind: &'static str,
    /// Which part gaps are measured to; none for a likeness.
    pub role: Option<Role>,
    /// What it is made of.
    pub stuff: Stuff,
    /// How it moves.
    pub moves: Moves,
    /// Its shape, in the frame that [`Piece::moves`] carries into the body's; mm.
    pub mesh: Mesh,
}

/// No scan is drawn with more triangles than this.
const SCANNED: usize = 9000;

/// Every piece of a car. What an axle has once is there once, with its left wheel.
pub fn of(study: &Study) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for hub in study.gear.hubs() {
        let Some(axle) = study.gear.axle(hub.axle) else { continue };
        pieces.extend(rolling_pieces(study, axle, hub));
        let measured = axle.as_measured();
        let at_wheel = Linked { study, axle, hub, measured: &measured };
        for (i, part) in study.parts.moving(hub).iter().enumerate() {
            if !part.single || hub.side == Side::Left {
                pieces.extend(at_wheel.pieces(part, Role::Moving(hub, i)));
            }
        }
    }
    pieces.extend(steering(study));
    pieces.extend(body(study));
    apart_by_name(&mut pieces);
    pieces
}

/// Of pieces with one name all but the first are counted.
fn apart_by_name(pieces: &mut [Piece]) {
    let mut known = std::collections::HashSet::new();
    for piece in pieces {
        let plain = piece.name.clone();
        for n in 2.. {
            if known.insert(piece.name.clone()) {
                break;
            }
            piece.name = format!("{plain} {n}");
        }
    }
}

fn rolling_pieces(study: &Study, axle: &Suspension, hub: Hub) -> Vec<Piece> {
    let described = &*axle.described;
    let (parts, words) = (&study.parts, hub.words());
    let rim = crate::space::Rim::new(&described.tyre.mounted(&described.wheel), &described.wheel);
    let piece = |what: &str, kind, role, stuff, moves, mesh| Piece {
        name: format!("{words} {what}"),
        kind,
        role,
        stuff,
        moves,
        mesh,
    };
    let (wheel, upright) = (Moves::Wheel(hub), Moves::Upright(hub));
    let whole = rolling::barrel(&rim).and(rolling::spokes(&rim));
    let mut pieces = vec![
        piece("tyre", "tyre", Some(Role::Tyre(hub)), Stuff::Rubber, wheel, rolling::tyre(parts.tyre(hub))),
        piece("rim", "rim", Some(Role::Rim(hub)), Stuff::Alloy, wheel, whole),
        piece("upright", "upright", None, Stuff::Upright, upright, rolling::upright(axle, hub.side)),
    ];
    if let Some(brake) = parts.brake(hub) {
        pieces.push(piece("brake disc", "brake", None, Stuff::Steel, wheel, rolling::disc(described, brake)));
        let caliper = rolling::caliper(described, hub.side, brake);
        let role = Some(Role::Caliper(hub));
        pieces.extend(caliper.map(|mesh| piece("caliper", "brake", role, Stuff::Damper, upright, mesh)));
    }
    pieces
}

/// The parts of an axle that hold its wheels or ride along.
struct Linked<'a> {
    study: &'a Study,
    axle: &'a Suspension,
    hub: Hub,
    measured: &'a [crate::motion::CornerPose; 2],
}

impl Linked<'_> {
    /// Where a place was measured.
    fn at(&self, spot: Spot) -> Option<Vector3<f64>> {
        spot.at(self.axle, &self.measured[self.hub.side as usize])
    }

    /// The pose that all was measured in, as far as this axle goes.
    fn posed(&self) -> Posed {
        let mut posed = self.study.gear.ride.clone();
        match self.axle.name {
            AxleName::Front => posed.front = *self.measured,
            AxleName::Rear => posed.rear = Some(*self.measured),
        }
        posed
    }

    fn pieces(&self, part: &Moving, role: Role) -> Vec<Piece> {
        let kind = match part.kind {
            Kind::TieRod => "tie rod",
            Kind::Damper => return self.damper(part, role).unwrap_or_default(),
            Kind::Spring => return self.coil(part, role).into_iter().collect(),
            Kind::RollBar => "anti-roll bar",
            Kind::Axle => "axle",
            Kind::Driveshaft => "driveshaft",
            _ => "arm",
        };
        let stuff = Stuff::of(part.kind);
        let piece = || {
            let moves = self.moves(part)?;
            let own = moves.placed(&self.study.gear, &self.posed())?;
            let mut mesh = Mesh::default();
            for leg in &part.legs {
                let [a, b] = [self.at(leg.ends[0])?, self.at(leg.ends[1])?];
                mesh = mesh.and(Mesh::capsule(own.back(a), own.back(b), leg.radius));
            }
            if let Some(Plate { corners: [a, b, c], radius }) = part.plate {
                let corners = [own.back(self.at(a)?), own.back(self.at(b)?), own.back(self.at(c)?)];
                mesh = mesh.and(plate(corners, radius));
            }
            for [from, to] in self.brackets(part) {
                mesh = mesh.and(Mesh::bar(own.back(from), own.back(to), [9.0; 2]));
            }
            Some(Piece { name: part.words(self.hub), kind, role: Some(role), stuff, moves, mesh })
        };
        piece().into_iter().collect()
    }

    fn line(&self, ends: [Spot; 2]) -> Option<Line> {
        let [from, to] = [self.at(ends[0])?, self.at(ends[1])?];
        let way = (to - from).try_normalize(1e-9)?;
        Some(Line { ends, steep: way.z.abs() > 0.7, length: (to - from).norm() })
    }

    /// A part of bars that all run along one line goes with that line; any other is stiff.
    fn moves(&self, part: &Moving) -> Option<Moves> {
        let long = part.legs.iter().filter(|leg| leg.ends[0] != leg.ends[1]);
        let ends = long.max_by(|a, b| self.length(a.ends).total_cmp(&self.length(b.ends)))?.ends;
        let line = self.line(ends)?;
        let [from, to] = [self.at(ends[0])?, self.at(ends[1])?];
        let way = (to - from).normalize();
        let off = |spot: &Spot| self.at(*spot).map_or(0.0, |p| (p - from - way * way.dot(&(p - from))).norm());
        let spots = part.legs.iter().flat_map(|leg| leg.ends);
        let aside = spots.max_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some(match part.kind {
            Kind::Driveshaft => Moves::Between(self.hub, line),
            _ if off(&aside) > 1.0 => Moves::Stiff(self.hub, [ends[0], ends[1], aside]),
            _ => Moves::Towards(self.hub, line),
        })
    }

    fn length(&self, ends: [Spot; 2]) -> f64 {
        self.at(ends[0]).zip(self.at(ends[1])).map_or(0.0, |(a, b)| (b - a).norm())
    }

    /// What stands on an arm between its legs has a bracket to the nearer of them; a likeness.
    fn brackets(&self, part: &Moving) -> Vec<[Vector3<f64>; 2]> {
        use PointName::{DamperBottom, DropLinkOuter, PushRodOuter, SpringBottom};
        let described: &Axle = &self.axle.described;
        let on = match part.carries {
            Some(crate::motion::Carrier::Part(on @ (MountedOn::LowerArm | MountedOn::UpperArm))) => on,
            _ => return Vec::new(),
        };
        let riding = [
            (DamperBottom, described.damper.map(|damper| damper.on)),
            (SpringBottom, described.spring_apart()),
            (PushRodOuter, described.rocker.map(|rocker| rocker.on)),
            (DropLinkOuter, described.bar.map(|bar| bar.on)),
        ];
        let mounts = riding.into_iter().filter(|(_, riding)| *riding == Some(on));
        let mounts = mounts.filter_map(|(name, _)| described.point(self.hub.side, name));
        let foot = |mount: Vector3<f64>| {
            let feet = part.legs.iter().filter_map(|leg| {
                let [a, b] = [self.at(leg.ends[0])?, self.at(leg.ends[1])?];
                let along = b - a;
                let share = ((mount - a).dot(&along) / along.norm_squared().max(1.0)).clamp(0.0, 1.0);
                Some(a + along * share)
            });
            feet.min_by(|p, q| (p - mount).norm().total_cmp(&(q - mount).norm()))
        };
        mounts.filter_map(|mount| Some([mount, foot(mount)?])).filter(|[m, f]| (m - f).norm() > 1.0).collect()
    }

    /// A damper's body, its rod, and the spring around both, within the space that is measured. A strut has its body
    /// below, where it is bolted to the upright.
    fn damper(&self, part: &Moving, role: Role) -> Option<Vec<Piece>> {
        let radius = part.legs.first()?.radius;
        let strut = self.axle.linkage == Linkage::Strut;
        let (top, bottom) = (Spot::At(PointName::DamperTop), Spot::At(PointName::DamperBottom));
        let ([body_end, rod_end], share) = if strut { ([bottom, top], 0.6) } else { ([top, bottom], 0.58) };
        let length = self.length([top, bottom]);
        let eye = |part: Mesh| part.and(Mesh::capsule(Vector3::zeros(), Vector3::zeros(), 0.28 * radius.max(50.0)));
        let tube = |from: f64, to: f64, r: f64| {
            let x = |along: f64| Vector3::new(along * length, 0.0, 0.0);
            Mesh::bar(x(from), x(to), [r; 2])
        };
        let seat = if strut { 0.38 } else { 0.16 };
        let body = eye(tube(0.02, share, 0.6 * radius).and(tube(seat, seat + 0.02, radius)));
        let rod = eye(tube(0.0, 0.5, 7.0).and(tube(if strut { 0.1 } else { 0.15 }, 0.17, radius)));
        // From one seat to the other, as shares of the length.
        let [low, high] = if strut { [0.4, 0.88] } else { [0.17, 0.83] };
        let wire = 0.14 * radius;
        let spring = Mesh::spring(radius - wire, wire, 7.0, [low * length, high * length]);
        let name = part.words(self.hub);
        let towards = |ends| Some(Moves::Towards(self.hub, self.line(ends)?));
        let piece = |what: &str, stuff, moves, mesh| Piece {
            name: format!("{name}{what}"),
            kind: "damper",
            role: Some(role),
            stuff,
            moves,
            mesh,
        };
        let stretched = Moves::Between(self.hub, self.line([bottom, top])?);
        let mut pieces = vec![
            piece("", Stuff::Damper, towards([body_end, rod_end])?, body),
            piece(", rod", Stuff::Upright, towards([rod_end, body_end])?, rod),
        ];
        // One that stands apart is a part of its own.
        if self.axle.described.spring_apart().is_none() {
            pieces.push(piece(", spring", Stuff::Spring, stretched, spring));
        }
        Some(pieces)
    }

    /// A spring that stands apart from its damper.
    fn coil(&self, part: &Moving, role: Role) -> Option<Piece> {
        let radius = part.legs.first()?.radius;
        let ends = [PointName::SpringBottom, PointName::SpringTop].map(Spot::At);
        let wire = 0.12 * radius;
        let mesh = Mesh::spring(radius - wire, wire, 7.0, [wire, self.length(ends) - wire]);
        let (name, moves) = (part.words(self.hub), Moves::Between(self.hub, self.line(ends)?));
        Some(Piece { name, kind: "spring", role: Some(role), stuff: Stuff::Spring, moves, mesh })
    }
}

/// A rack and its housing, or a steering box and the post that its idler arm turns on; a likeness.
fn steering(study: &Study) -> Vec<Piece> {
    let front = &study.car.front;
    if front.steering_box.is_some() { posts(front) } else { rack(front) }
}

fn posts(front: &Axle) -> Vec<Piece> {
    use PointName::{IdlerShaft, IdlerShaftTop, PitmanShaft, PitmanShaftTop};
    let posts = [
        ("steering box", PitmanShaft, PitmanShaftTop, 34.0, 120.0),
        ("idler post", IdlerShaft, IdlerShaftTop, 18.0, 70.0),
    ];
    let post = |(name, shaft, top, radius, length): (&str, _, _, f64, f64)| {
        let at = front.point(Side::Left, shaft)?;
        let up = shaft_axis(at, front.point(Side::Left, top));
        let up = if up.z < 0.0 { -up } else { up };
        // The arm sits below it.
        let foot = at + up * 14.0;
        let mesh = Mesh::bar(at, foot, [12.0; 2]).and(Mesh::bar(foot, foot + up * length, [radius; 2]));
        let (kind, stuff, moves) = ("steering box", Stuff::Upright, Moves::Still);
        Some(Piece { name: name.to_owned(), kind, role: None, stuff, moves, mesh })
    };
    posts.into_iter().filter_map(post).collect()
}

fn rack(front: &Axle) -> Vec<Piece> {
    let inner = Side::BOTH.map(|side| front.point(side, PointName::TieRodInner));
    let (Some(rack), [Some(left), Some(right)]) = (front.rack, inner) else { return Vec::new() };
    let across = (right - left).try_normalize(1e-9).unwrap_or_else(Vector3::y);
    let shrink = across * (front.arms.joint + rack.travel);
    let bar = Mesh::bar(Vector3::zeros(), Vector3::x() * (right - left).norm(), [11.0; 2]);
    let piece = |name: &str, stuff, moves, mesh| Piece {
        name: name.to_owned(),
        kind: "steering rack",
        role: None,
        stuff,
        moves,
        mesh,
    };
    let mut pieces = vec![piece("steering rack", Stuff::Tube, Moves::Rack, bar)];
    if (right - left).norm() > 2.0 * shrink.norm() + 40.0 {
        let housing = Mesh::bar(left + shrink, right - shrink, [21.0; 2]);
        pieces.push(piece("rack housing", Stuff::Upright, Moves::Still, housing));
    }
    pieces
}

/// What is fixed to the body.
fn body(study: &Study) -> Vec<Piece> {
    let piece = |(i, part): (usize, &crate::space::Part)| {
        let kind = match part.kind {
            Kind::Rail => "rail",
            Kind::Splitter => "splitter",
            Kind::Tube => "tube",
            Kind::Block => "block",
            Kind::Plate => "plate",
            _ => "panel",
        };
        let stuff = Stuff::of(part.kind);
        let kind = if part.solid.skin.is_some() { "scan" } else { kind };
        let (role, moves) = (Some(Role::Body(i)), Moves::Still);
        Piece { name: part.name.clone(), kind, role, stuff, moves, mesh: solid(&part.solid) }
    };
    study.parts.body.iter().enumerate().map(piece).collect()
}

/// A measured shape as it is drawn; thin skins without their thickness, scans more coarsely.
fn solid(solid: &Solid) -> Mesh {
    let facets: Vec<_> = solid.facets.iter().map(|f| f.corners).collect();
    let bars = solid.bars.iter().map(|b| Mesh::capsule(b.a, b.b, b.radius));
    let mesh = bars.fold(Mesh::facets(&facets), Mesh::and);
    match &solid.skin {
        Some(skin) => mesh.and(coarse(&skin.corners, &skin.triangles)),
        None => mesh,
    }
}

/// A scan with few enough triangles: corners that share a cell of a grid become their middle.
fn coarse(corners: &[Vector3<f64>], triangles: &[[u32; 3]]) -> Mesh {
    if triangles.len() <= SCANNED {
        return Mesh::skin(corners.to_vec(), triangles.to_vec());
    }
    let mut cell = 4.0;
    loop {
        let mut cells: std::collections::HashMap<[i64; 3], u32> = std::collections::HashMap::new();
        let (mut sums, mut counts): (Vec<Vector3<f64>>, Vec<f64>) = Default::default();
        let to: Vec<u32> = corners
            .iter()
            .map(|p| {
                let key = [p.x, p.y, p.z].map(|v| (v / cell).floor() as i64);
                let i = *cells.entry(key).or_insert(sums.len() as u32);
                if i as usize == sums.len() {
                    sums.push(Vector3::zeros());
                    counts.push(0.0);
                }
                sums[i as usize] += p;
                counts[i as usize] += 1.0;
                i
            })
            .collect();
        let mut fewer: Vec<[u32; 3]> = triangles.iter().map(|t| t.map(|i| to[i as usize])).collect();
        fewer.retain(|[a, b, c]| a != b && b != c && c != a);
        if fewer.len() <= SCANNED {
            return Mesh::skin(sums.iter().zip(counts).map(|(s, n)| s / n).collect(), fewer);
        }
        cell *= 1.25;
    }
}

/// A triangle of plate, its middle plane through these corners, half so thick, mm.
fn plate([a, b, c]: [Vector3<f64>; 3], half: f64) -> Mesh {
    let up = (b - a).cross(&(c - a)).try_normalize(1e-9).unwrap_or_else(Vector3::z) * half;
    let (low, high) = ([a - up, b - up, c - up], [a + up, b + up, c + up]);
    let mut faces = vec![[low[0], low[2], low[1]], high];
    for (i, j) in [(0, 1), (1, 2), (2, 0)] {
        faces.extend([[low[i], low[j], high[j]], [low[i], high[j], high[i]]]);
    }
    Mesh::facets(&faces)
}
