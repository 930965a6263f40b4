//! Parts that touch, or come too near in this pose, light up in the colour of their verdict.

use std::collections::{BTreeMap, HashMap};

use bevy::prelude::*;

use super::car::{Drawn, Finishes};
use super::finish::Finish;
use super::parts::Stuff;
use crate::answer::Verdict;
use crate::space::Role;
use crate::viewer::asking::{Asking, Question};
use crate::viewer::panels::widgets;
use crate::viewer::theme;

pub(super) fn plugin(app: &mut App) {
    app.init_resource::<Lamps>().add_systems(Update, light_up);
}

/// Finishes of lit parts, mixed when first needed.
#[derive(Resource, Debug, Default)]
struct Lamps(BTreeMap<(Stuff, Verdict), Handle<Finish>>);

fn light_up(
    asking: Res<Asking>,
    question: Res<Question>,
    finishes: Res<Finishes>,
    mut lamps: ResMut<Lamps>,
    mut materials: ResMut<Assets<Finish>>,
    mut drawn: Query<(&Drawn, &mut MeshMaterial3d<Finish>)>,
) {
    let verdicts = match *question {
        Question::Gaps | Question::Lock => verdicts(&asking),
        _ => HashMap::new(),
    };
    for (part, mut material) in &mut drawn {
        let verdict = part.role.and_then(|role| verdicts.get(&role).copied());
        let wanted = match verdict {
            None => finishes.of(part.stuff),
            Some(verdict) => lamps.lamp(part.stuff, verdict, &finishes, &mut materials),
        };
        if material.0 != wanted {
            material.0 = wanted;
        }
    }
}

/// The worst of each part's gaps in this pose, where it is not clear.
fn verdicts(asking: &Asking) -> HashMap<Role, Verdict> {
    let mut worst = HashMap::new();
    let Some(answered) = asking.answers() else { return worst };
    for pair in asking.gaps().into_iter().flat_map(|g| &g.pairs) {
        let verdict = pair.verdict_here();
        if verdict != Verdict::Clear {
            for role in [pair.place.a, pair.place.b].map(|role| answered.study.parts.drawn(role)) {
                let known = worst.entry(role).or_insert(verdict);
                *known = verdict.max(*known);
            }
        }
    }
    worst
}

impl Lamps {
    fn lamp(
        &mut self,
        stuff: Stuff,
        verdict: Verdict,
        finishes: &Finishes,
        materials: &mut Assets<Finish>,
    ) -> Handle<Finish> {
        let mix = || {
            let plain = materials.get(&finishes.of(stuff)).map_or(Color::WHITE, |f| f.colour.into());
            // A tyre keeps most of its black: what it touches is to be seen first.
            let share = if stuff == Stuff::Rubber { 0.15 } else { 0.8 };
            let lit = plain.mix(&theme::scene(widgets::colour(verdict)), share);
            materials.add(Finish::from(lit.with_alpha(if plain.alpha() < 1.0 { 0.55 } else { 1.0 })))
        };
        self.0.entry((stuff, verdict)).or_insert_with(mix).clone()
    }
}
