//! The wipe over the stage, and which car stands where.

use bevy_egui::egui::{self, Align2, Area, CursorIcon, Id, Order, Sense, Stroke, pos2, vec2};

use super::View;
use crate::viewer::beside::Way;
use crate::viewer::theme;

/// The handle's half size, points.
const HANDLE: egui::Vec2 = vec2(7.0, 26.0);

pub(super) fn show(ctx: &egui::Context, view: &mut View) {
    let (stage, way) = (view.stage.rect, view.beside.way);
    if way == Way::Behind || !stage.is_positive() {
        view.stage.split = None;
        return;
    }
    let share = if way == Way::Wipe { view.beside.wipe } else { 0.5 };
    let x = stage.left() + stage.width() * share;
    view.stage.split = Some(x);
    let painter = egui::Painter::new(ctx.clone(), egui::LayerId::new(Order::Background, "wipe".into()), stage);
    painter.vline(x, stage.y_range(), Stroke::new(1.5, theme::INK));
    let other = view.desk.against().unwrap_or("as found").to_owned();
    let own = view.desk.proposal().unwrap_or("as found").to_owned();
    for (words, at, align) in [(own, x - 10.0, Align2::RIGHT_TOP), (other, x + 10.0, Align2::LEFT_TOP)] {
        let font = theme::strong(13.0);
        let galley = painter.layout_no_wrap(words, font, theme::INK);
        let rect = align.anchor_size(pos2(at, stage.top() + 8.0), galley.size() + vec2(14.0, 6.0));
        painter.rect(rect, 3.0, theme::SHEET, Stroke::new(1.0, theme::RULE), egui::StrokeKind::Inside);
        painter.galley(rect.min + vec2(7.0, 3.0), galley, theme::INK);
    }
    if way != Way::Wipe {
        return;
    }
    let at = pos2(x, stage.bottom() - 60.0);
    let area = Area::new(Id::new("wipe handle")).order(Order::Middle).fixed_pos(at - HANDLE).show(ctx, |ui| {
        let (rect, response) = ui.allocate_exact_size(HANDLE * 2.0, Sense::drag());
        let look = ui.style().interact(&response);
        ui.painter().rect(rect, 3.0, theme::BLANK, Stroke::new(1.5, look.fg_stroke.color), egui::StrokeKind::Inside);
        for dx in [-2.0, 2.0] {
            ui.painter().vline(rect.center().x + dx, rect.shrink(14.0).y_range(), Stroke::new(1.0, theme::SOFT));
        }
        response.on_hover_cursor(CursorIcon::ResizeHorizontal)
    });
    if let Some(pointer) = area.inner.dragged().then(|| area.inner.interact_pointer_pos()).flatten() {
        view.beside.wipe = ((pointer.x - stage.left()) / stage.width()).clamp(0.02, 0.98);
    }
}
