//! The page to send to the customer: one HTML file that needs nothing else, from a stick, in a mail, on a phone.
//!
//! Words and numbers stand in the file as text and are there whatever the reader's program can draw. The car in 3D is
//! drawn by our own few lines of script (`assets/page/page.js`); where it cannot be, a drawing from the side stands in
//! its place. The page asks nothing of any network, and forbids itself to.

mod numbers;
mod price;
mod scene;
mod side;
mod words;

use std::fmt::Write;

use crate::answer::sheet::escaped;
use crate::answer::words::capital;
use crate::answer::{NoAnswer, Plot, Study, Subject, Verdict, along, cut, lock};
use crate::car::{AxleName, Proposal, Shown};
use crate::motion::{Along, Quantity};
use numbers::{Asked, Row};
pub use price::Price;
use words::About;

const STYLE: &str = include_str!("../../assets/page/page.css");
const SCRIPT: &str = include_str!("../../assets/page/page.js");

/// What the page rests on; stands on every page.
const CAUTION: &str = "Everything here follows from what was measured on the car, by tape where nothing else is said. It is a plan to talk \
                       about, not an approval: the law of the road and the rule book of the class come first.";

/// The whole page, for a car as found and with a proposal made.
///
/// # Errors
/// [`NoAnswer`] where a car cannot take a pose of its sweep, or an axle has no answer.
pub fn page(found: &Study, proposed: &Study, prices: &[Price], shown: Shown) -> Result<String, NoAnswer> {
    let asked = [Asked::of(found)?, Asked::of(proposed)?];
    let made = proposed.car.made.as_deref().unwrap_or("as found");
    let proposal = found.car.proposals.iter().find(|p| p.name == made);
    let states = [(found, &asked[0]), (proposed, &asked[1])];
    let rows = numbers::rows(states, shown)?;
    let scene = scene::scene([("As found", found, &asked[0]), ("Proposed", proposed, &asked[1])], shown)?;
    // Within a script's element nothing may look like its end.
    let scene = scene.to_string().replace('<', "\\u003c");
    let title = format!("{}: {made}", found.car.name);
    let label = format!("{title}, from the left side; the tyres as found in dashes");
    let drawing = side::side(found, proposed, &label);
    let mut html = String::new();
    let mut put = |text: &str| html.push_str(text);
    put("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    put("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    // Neither this file's own mistakes nor anybody's who edits it can make it call out.
    put(
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:\">\n",
    );
    put("<link rel=\"icon\" href=\"data:,\">\n");
    put(&format!("<title>{}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n", escaped(&title)));
    put(&header(&found.car.name, made, proposal));
    put("<main>\n");
    put(&answers(&asked[1], shown));
    put(&view(&drawing));
    if let Some(proposal) = proposal {
        put(&changes(proposal, found, shown));
    }
    put(&numbers(&rows));
    if proposal.is_some() {
        put(&pictures([("as found", found), (made, proposed)], shown));
    }
    put(&offer(prices));
    put(&cautions(&asked, shown));
    put("</main>\n");
    put(&format!(
        "<script type=\"application/json\" id=\"scene\">{scene}</script>\n<script>\n{SCRIPT}</script>\n</body>\n</html>\n"
    ));
    Ok(html)
}

fn header(car: &str, made: &str, proposal: Option<&Proposal>) -> String {
    let note = proposal.map(|p| p.note.as_str()).filter(|note| !note.is_empty());
    let note = note.map_or_else(String::new, |note| format!("<p class=\"lead\">{}</p>\n", escaped(note)));
    let (car, made) = (escaped(car), escaped(&capital(made)));
    format!("<header>\n<p class=\"car\">{car}</p>\n<h1>{made}</h1>\n{note}</header>\n")
}

/// How the front wheels lean and steer as they rise and fall, both cars over one another; what a car cannot draw is left out.
fn pictures(states: [(&str, &Study); 2], shown: Shown) -> String {
    let cars =
        states.map(|(name, study)| Subject { name, found: name == "as found", car: &study.car, gear: &study.gear });
    let plot = |(quantity, title): (Quantity, &str)| {
        let plot = along::plot(&cars, AxleName::Front, quantity, Along::Travel, shown).ok()?;
        let svg = Plot { title: title.to_owned(), ..plot }.svg([640, 420]);
        // Within a page it needs no name space of its own.
        Some(format!("<figure>{}</figure>\n", svg.replace(" xmlns=\"http://www.w3.org/2000/svg\"", "")))
    };
    let leans = (Quantity::Camber, "How the front wheels lean as they rise and fall");
    let steers = (Quantity::Toe, "How they steer by themselves as they rise and fall");
    let plots: String = [leans, steers].into_iter().filter_map(plot).collect();
    format!(
        "<section class=\"pictures\">\n<h2>As found and proposed</h2>\n<div class=\"plots\">\n{plots}</div>\n</section>\n"
    )
}

/// How a verdict looks: never by its colour alone.
fn verdict(verdict: Verdict) -> (&'static str, &'static str) {
    match verdict {
        Verdict::Clear => ("clear", "&#10003;"),
        Verdict::Short => ("short", "!"),
        Verdict::Touches => ("touches", "&#10005;"),
    }
}

fn answers(asked: &Asked, shown: Shown) -> String {
    let says = match asked.verdict() {
        Verdict::Clear => "Everything clears, by the gaps that were asked for.",
        Verdict::Short => "Nothing touches, but not everything has the gap that was asked for.",
        Verdict::Touches => "As proposed, parts would meet. What meets, and what that takes:",
    };
    let mut html = format!("<section class=\"answers\" aria-label=\"The answer\">\n<h2>{says}</h2>\n<ul>\n");
    for (question, is, sentence) in asked.told(shown) {
        let (class, sign) = verdict(is);
        let _ = writeln!(
            html,
            "<li class=\"{class}\"><span class=\"sign\" aria-hidden=\"true\">{sign}</span><div><h3>{question} <em>{}</em></h3><p>{}</p></div></li>",
            is.word(),
            escaped(&sentence)
        );
    }
    html + "</ul>\n</section>\n"
}

/// The car: the drawing until the script has put its own picture in its place.
fn view(drawing: &str) -> String {
    let slider = |id: &str, name: &str, ends: [&str; 2]| {
        format!(
            "<div class=\"slide\"><label for=\"{id}\">{name}</label><output for=\"{id}\" id=\"{id}-says\"></output>\
             <input type=\"range\" id=\"{id}\" min=\"-1\" max=\"1\" step=\"0.005\" value=\"0\">\
             <span class=\"ends\" aria-hidden=\"true\"><span>{}</span><span>{}</span></span></div>\n",
            ends[0], ends[1]
        )
    };
    let view = |id: &str, name: &str| format!("<button type=\"button\" data-view=\"{id}\">{name}</button>");
    [
        "<section class=\"view\" aria-label=\"The car\">\n<div class=\"stage\" id=\"stage\">\n<div class=\"still\">",
        drawing,
        "</div>\n<canvas id=\"canvas\" tabindex=\"0\" hidden aria-label=\"The car in 3D. Drag to turn, pinch or scroll to come nearer; \
         arrow keys turn, plus and minus come nearer and go away.\"></canvas>\n<div id=\"marks\" aria-hidden=\"true\"></div>\n\
         <p class=\"hint\" id=\"hint\" hidden>Drag to turn &middot; pinch, or click and scroll, to come nearer</p>\n</div>\n\
         <p class=\"no-picture\" id=\"no-picture\">This is the car from its left side, the tyres as found in dashes. To turn it \
         and to move its wheels, open this page in a browser that can draw in 3D.</p>\n\
         <div class=\"controls\" id=\"controls\" hidden>\n<div class=\"bar\">\n\
         <div class=\"choice\" role=\"group\" aria-label=\"Which car\"><button type=\"button\" data-car=\"0\">As found</button>\
         <button type=\"button\" data-car=\"1\">Proposed</button></div>\n\
         <label class=\"tick\"><input type=\"checkbox\" id=\"ghost\"> <span id=\"ghost-says\">Ghost</span></label>\n\
         <div class=\"choice views\" role=\"group\" aria-label=\"Seen from\">",
        &view("corner", "Corner"),
        &view("front", "Front"),
        &view("side", "Side"),
        &view("above", "Above"),
        &view("wheel", "Wheel"),
        "</div>\n</div>\n<div class=\"slides\">\n",
        &slider("heave", "Bump and droop", ["droop", "bump"]),
        &slider("roll", "Body roll", ["to the left", "to the right"]),
        &slider("rack", "Steering", ["left", "right"]),
        "</div>\n<div class=\"bar\"><button type=\"button\" class=\"play\" id=\"play\" aria-pressed=\"false\">Play</button>\
         <button type=\"button\" id=\"rest\">Ride height, straight</button></div>\n\
         <div id=\"touching\"><h3 id=\"touching-head\"></h3><ol id=\"touching-list\"></ol></div>\n</div>\n</section>\n",
    ]
    .concat()
}

fn changes(proposal: &Proposal, found: &Study, shown: Shown) -> String {
    let mut told = words::changes(&proposal.changes, &found.car, shown);
    // A part and the node on it move in one sentence.
    let mut known = std::collections::HashSet::new();
    told.retain(|line| known.insert(line.clone()));
    let mut html = "<section class=\"changes\">\n<h2>What is proposed</h2>\n".to_owned();
    for about in About::ALL {
        let lines: Vec<&String> = told.iter().filter(|(of, _)| *of == about).map(|(_, line)| line).collect();
        if lines.is_empty() {
            continue;
        }
        let _ = writeln!(html, "<h3>{}</h3>\n<ul>", about.heading());
        for line in lines {
            let _ = writeln!(html, "<li>{}</li>", escaped(line));
        }
        html += "</ul>\n";
    }
    html + "</section>\n"
}

/// The numbers that matter, and behind them those for whoever wants to know more.
fn numbers(rows: &[Row]) -> String {
    let (first, more): (Vec<&Row>, Vec<&Row>) = rows.iter().partition(|row| !row.more);
    let mut html = format!("<section class=\"numbers\">\n<h2>The numbers that matter</h2>\n{}", table(&first));
    if !more.is_empty() {
        let _ = writeln!(html, "<details>\n<summary>Wheels and alignment</summary>\n{}</details>", table(&more));
    }
    html + "</section>\n"
}

fn table(rows: &[&Row]) -> String {
    let mut html = "<table>\n<thead><tr><th scope=\"col\"></th><th scope=\"col\">As found</th>\
                    <th scope=\"col\">Proposed</th></tr></thead>\n<tbody>\n"
        .to_owned();
    for row in rows {
        let _ = write!(html, "<tr><th scope=\"row\">{}<small>{}</small></th>", escaped(&row.what), escaped(&row.means));
        for value in &row.values {
            let beside = if value.beside.is_empty() {
                String::new()
            } else {
                format!("<small>{}</small>", escaped(&value.beside))
            };
            let number = if value.number.is_empty() { "-" } else { &value.number };
            let _ = write!(html, "<td><b>{}</b>{beside}</td>", escaped(number));
        }
        html += "</tr>\n";
    }
    html + "</tbody>\n</table>\n"
}

fn offer(prices: &[Price]) -> String {
    if prices.is_empty() {
        return String::new();
    }
    let mut html = "<section class=\"offer\">\n<h2>Price</h2>\n<table>\n<tbody>\n".to_owned();
    let line = |price: &Price| {
        format!("<th scope=\"row\">{}</th><td>{}</td></tr>\n", escaped(&price.what), escaped(&price.told()))
    };
    for price in prices {
        let _ = write!(html, "<tr>{}", line(price));
    }
    if let Some(total) = Price::total(prices).filter(|_| prices.len() > 1) {
        let _ = write!(html, "<tr class=\"total\">{}", line(&total));
    }
    html + "</tbody>\n</table>\n</section>\n"
}

/// Cautions of what the page tells of, and what is not sure of the scans.
fn cautions(asked: &[Asked; 2], shown: Shown) -> String {
    let proposed = &asked[1];
    let mut lines = vec![CAUTION.to_owned()];
    if !proposed.cut.rails.is_empty() || !proposed.cut.sawn.is_empty() {
        lines.push(cut::CAUTION.to_owned());
    }
    lines.push(lock::CAUTION.to_owned());
    lines.extend(proposed.gaps.notes.iter().cloned());
    let mut html = "<section class=\"cautions\">\n<h2>Before anything is cut or driven</h2>\n".to_owned();
    for line in lines {
        let _ = writeln!(html, "<p>{}</p>", escaped(&line));
    }
    let wanted = proposed.gaps.pairs.first().map(|pair| shown.length(pair.wanted_mm));
    let wanted = wanted.map_or_else(String::new, |mm| format!(" The tightest pair here is wanted {mm} apart."));
    let _ = writeln!(
        html,
        "<p class=\"small\">A gap is the shortest way between two parts, as measured and as the wheels move; less than nothing is how deep \
         they overlap.{} Between the poses that were calculated the picture is carried on in straight lines.</p>",
        escaped(&wanted)
    );
    html + "</section>\n"
}
