//! Where one pair of a map is the shortest of its wanted gap, and the lines between.
//!
//! Between two neighbouring nodes with different pairs both are measured at both, and the line passes where they are
//! equally short. A square with two such places has a piece of line; with more, they meet in its middle.

use super::contour::{At, join};
use super::nodes::{Node, Nodes};
use super::{Boundary, Region};

/// Lines between regions, and the regions, largest first.
pub(super) fn regions(nodes: &Nodes, grid: &[Vec<Node>]) -> (Vec<Boundary>, Vec<Region>) {
    let [columns, rows] = [grid[0].len(), grid.len()];
    let level: Vec<Vec<Option<At>>> =
        (0..rows).map(|k| (1..columns).map(|i| between(nodes, &grid[k][i - 1], &grid[k][i])).collect()).collect();
    let upright: Vec<Vec<Option<At>>> =
        (1..rows).map(|k| (0..columns).map(|i| between(nodes, &grid[k - 1][i], &grid[k][i])).collect()).collect();
    let mut pieces = Vec::new();
    for k in 0..rows - 1 {
        for i in 0..columns - 1 {
            let sides = [level[k][i], upright[k][i + 1], level[k + 1][i], upright[k][i]];
            let met: Vec<At> = sides.into_iter().flatten().collect();
            match met[..] {
                [] | [_] => {}
                [p, q] => pieces.push([p, q]),
                _ => {
                    let middle = [0, 1].map(|n| met.iter().map(|p| p[n]).sum::<f64>() / met.len() as f64);
                    pieces.extend(met.iter().map(|p| [*p, middle]));
                }
            }
        }
    }
    let boundaries = join(pieces).into_iter().map(|line_mm| Boundary { line_mm }).collect();
    (boundaries, pieces_of(grid))
}

/// Where two neighbours' pairs are equally short; none where it is one pair, or nothing is near one of them.
fn between(nodes: &Nodes, p: &Node, q: &Node) -> Option<At> {
    let (one, other) = (p.cell?, q.cell?);
    if one.pair == other.pair {
        return None;
    }
    let more = nodes.in_hand(other.pair, &p.pose?) - one.in_hand_mm;
    let less = other.in_hand_mm - nodes.in_hand(one.pair, &q.pose?);
    let part = if more - less > 0.0 { (more / (more - less)).clamp(0.0, 1.0) } else { 0.5 };
    let at = p.at + (q.at - p.at) * part;
    Some([at.y, at.x])
}

/// Nodes next to one another with the same pair are of one region.
fn pieces_of(grid: &[Vec<Node>]) -> Vec<Region> {
    let [columns, rows] = [grid[0].len(), grid.len()];
    let pair = |(i, k): (usize, usize)| grid[k][i].cell.map(|c| c.pair);
    let beside = |(i, k): (usize, usize)| {
        let sides = [(i.wrapping_sub(1), k), (i + 1, k), (i, k.wrapping_sub(1)), (i, k + 1)];
        sides.into_iter().filter(move |(i, k)| *i < columns && *k < rows)
    };
    let mut seen = vec![vec![false; columns]; rows];
    let mut found = Vec::new();
    for start in (0..rows).flat_map(|k| (0..columns).map(move |i| (i, k))) {
        let Some(own) = pair(start).filter(|_| !seen[start.1][start.0]) else { continue };
        let mut members = vec![start];
        seen[start.1][start.0] = true;
        let mut next = 0;
        while next < members.len() {
            for (i, k) in beside(members[next]) {
                if !seen[k][i] && pair((i, k)) == Some(own) {
                    seen[k][i] = true;
                    members.push((i, k));
                }
            }
            next += 1;
        }
        let share = members.len() as f64 / (columns * rows) as f64;
        let (i, k) = deepest(&members, [columns, rows], |at| pair(at) == Some(own));
        let at = grid[k][i].at;
        found.push(Region { pair: own, share, middle_mm: [at.y, at.x] });
    }
    found.sort_by(|a, b| b.share.total_cmp(&a.share));
    found
}

/// The member that is furthest, in steps, from what is no member and from the edge of the map; of several the one
/// nearest to their mean.
fn deepest(
    members: &[(usize, usize)],
    [columns, rows]: [usize; 2],
    inside: impl Fn((usize, usize)) -> bool,
) -> (usize, usize) {
    let clear = |(i, k): (usize, usize), by: usize| {
        i >= by
            && k >= by
            && i + by < columns
            && k + by < rows
            && (i - by..=i + by).all(|i| (k - by..=k + by).all(|k| inside((i, k))))
    };
    let depth = |at: (usize, usize)| (1..columns.max(rows)).take_while(|by| clear(at, *by)).count();
    let mean = |of: fn(&(usize, usize)) -> usize| members.iter().map(of).sum::<usize>() as f64 / members.len() as f64;
    let middle = [mean(|m| m.0), mean(|m| m.1)];
    let off = |m: &(usize, usize)| f64::hypot(m.0 as f64 - middle[0], m.1 as f64 - middle[1]);
    let best = members.iter().map(|m| (depth(*m), m)).min_by(|a, b| b.0.cmp(&a.0).then(off(a.1).total_cmp(&off(b.1))));
    best.map_or(members[0], |(_, m)| *m)
}
