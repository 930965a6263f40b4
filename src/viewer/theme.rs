//! The look: warm paper, ink, and the blue of marking-out fluid. Status is blue, amber or vermillion, never alone.

use bevy::color::Color;
use bevy_egui::egui::epaint::Shadow;
use bevy_egui::egui::style::{HandleShape, WidgetVisuals};
use bevy_egui::egui::{
    self, Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Stroke, TextStyle, Theme, Vec2,
};

/// Behind the car.
pub const PAPER: Color32 = Color32::from_rgb(0xf1, 0xec, 0xe1);
/// Under panels.
pub const SHEET: Color32 = Color32::from_rgb(0xfa, 0xf7, 0xf0);
/// Under what can be typed in or pressed.
pub const BLANK: Color32 = Color32::from_rgb(0xff, 0xfe, 0xfb);
/// Lines between things.
pub const RULE: Color32 = Color32::from_rgb(0xd8, 0xd0, 0xc0);
/// Words.
pub const INK: Color32 = Color32::from_rgb(0x21, 0x25, 0x2a);
/// Words that matter less.
pub const SOFT: Color32 = Color32::from_rgb(0x5d, 0x61, 0x66);
/// What is chosen, and what can be marked or moved.
pub const BLUE: Color32 = Color32::from_rgb(0x1c, 0x45, 0x85);
/// The same, as a wash.
pub const BLUE_WASH: Color32 = Color32::from_rgb(0xe2, 0xe8, 0xf0);
/// All clear: the blue of a palette that the colour-blind tell apart (Okabe and Ito, Color Universal Design, 2008).
pub const CLEAR: Color32 = Color32::from_rgb(0x00, 0x6a, 0xa8);
/// Nearer than wanted: the same palette's orange, darkened until it reads on paper.
pub const SHORT: Color32 = Color32::from_rgb(0xb3, 0x6d, 0x00);
/// Touching: the same palette's vermillion, a little darkened.
pub const TOUCH: Color32 = Color32::from_rgb(0xc4, 0x4b, 0x04);

const SEMIBOLD: &str = "semibold";
const CODE: &str = "one width";

/// The heavier cut, for what is read first.
pub fn strong(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(SEMIBOLD.into()))
}

/// Letters of one width, for a line of a file with carets under it.
pub fn plain_width(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(CODE.into()))
}

/// A panel colour for the 3D scene.
pub fn scene(colour: Color32) -> Color {
    let [r, g, b, a] = colour.to_srgba_unmultiplied();
    Color::srgba_u8(r, g, b, a)
}

/// Dresses the whole interface.
pub fn dress(ctx: &egui::Context) {
    ctx.set_theme(Theme::Light);
    ctx.set_fonts(fonts());
    ctx.style_mut_of(Theme::Light, |style| {
        style.text_styles = [
            (TextStyle::Heading, strong(17.0)),
            (TextStyle::Body, FontId::proportional(13.5)),
            (TextStyle::Button, FontId::proportional(13.5)),
            (TextStyle::Monospace, FontId::proportional(13.5)),
            (TextStyle::Small, FontId::proportional(12.0)),
        ]
        .into();
        style.drag_value_text_style = TextStyle::Body;
        style.spacing.item_spacing = Vec2::new(8.0, 6.0);
        style.spacing.window_margin = egui::Margin::same(14);
        style.spacing.button_padding = Vec2::new(8.0, 3.0);
        style.spacing.interact_size = Vec2::new(32.0, 24.0);
        style.spacing.slider_rail_height = 3.0;
        style.interaction.selectable_labels = false;
        style.animation_time = 0.08;
        // In a debug build egui frames whatever changes its id in red: here rows come and go with every answer.
        #[cfg(debug_assertions)]
        {
            style.debug.warn_if_rect_changes_id = false;
        }
        visuals(&mut style.visuals);
    });
}

fn visuals(v: &mut egui::Visuals) {
    v.panel_fill = SHEET;
    v.window_fill = SHEET;
    v.window_stroke = Stroke::new(1.0, RULE);
    v.window_corner_radius = CornerRadius::same(4);
    v.menu_corner_radius = CornerRadius::same(4);
    let shade = Shadow { offset: [0, 3], blur: 12, spread: 0, color: Color32::from_black_alpha(28) };
    (v.window_shadow, v.popup_shadow) = (shade, shade);
    v.extreme_bg_color = BLANK;
    v.text_edit_bg_color = Some(BLANK);
    v.faint_bg_color = Color32::from_rgb(0xf5, 0xf1, 0xe8);
    v.hyperlink_color = BLUE;
    v.warn_fg_color = SHORT;
    v.error_fg_color = TOUCH;
    v.selection.bg_fill = Color32::from_rgb(0xc9, 0xd6, 0xe8);
    v.selection.stroke = Stroke::new(1.0, BLUE);
    v.handle_shape = HandleShape::Rect { aspect_ratio: 0.5 };
    v.weak_text_color = Some(SOFT);
    let widget = |fill: Color32, edge: Color32, text: Color32| WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: Stroke::new(1.0, edge),
        corner_radius: CornerRadius::same(3),
        fg_stroke: Stroke::new(1.0, text),
        expansion: 0.0,
    };
    v.widgets.noninteractive = widget(SHEET, RULE, INK);
    v.widgets.inactive = widget(BLANK, RULE, INK);
    v.widgets.hovered = widget(BLUE_WASH, BLUE, INK);
    v.widgets.active = widget(Color32::from_rgb(0xc9, 0xd6, 0xe8), BLUE, INK);
    v.widgets.open = widget(BLUE_WASH, BLUE, INK);
}

fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let regular = FontData::from_static(include_bytes!("../../assets/fonts/OpenSans-Regular.ttf"));
    let semibold = FontData::from_static(include_bytes!("../../assets/fonts/OpenSans-Semibold.ttf"));
    fonts.font_data.insert("regular".into(), regular.into());
    fonts.font_data.insert(SEMIBOLD.into(), semibold.into());
    // The built-in fonts stay behind ours for the odd sign.
    let spare = fonts.families[&FontFamily::Proportional].clone();
    let family = |first: &str| std::iter::once(first.to_owned()).chain(spare.clone()).collect::<Vec<_>>();
    let code = fonts.families[&FontFamily::Monospace].clone();
    fonts.families.insert(FontFamily::Name(CODE.into()), code);
    fonts.families.insert(FontFamily::Name(SEMIBOLD.into()), family(SEMIBOLD));
    fonts.families.insert(FontFamily::Proportional, family("regular"));
    fonts.families.insert(FontFamily::Monospace, family("regular"));
    fonts
}
