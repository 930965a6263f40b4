//! The viewer draws what it is asked for. Needs a display and a Vulkan driver: see DEVELOPERS.md.
#![cfg(feature = "viewer")]

use std::collections::HashSet;
use std::path::Path;
use std::process::Command;

/// Whether drawing can be tried here. Where it must be and cannot, the test fails.
fn can_draw() -> bool {
    let display =
        ["DISPLAY", "WAYLAND_DISPLAY"].iter().any(|name| std::env::var_os(name).is_some_and(|v| !v.is_empty()));
    let must = std::env::var_os("SCRIBELINE_MUST_DRAW").is_some();
    assert!(display || !must, "SCRIBELINE_MUST_DRAW is set, but there is no display to draw on");
    if !display {
        println!("skipped: no display to draw on");
    }
    display
}

/// A picture of the viewer: width, height and pixels.
fn picture(arguments: &[&str]) -> Option<(u32, u32, Vec<[u8; 3]>)> {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("view.png");
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes/dunlin.ron");
    let mut command = Command::new(env!("CARGO_BIN_EXE_scribeline"));
    let output = command.arg(demo).arg("--picture").arg(&path).args(arguments).output().expect("the program runs");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    if !output.status.success() && std::env::var_os("SCRIBELINE_MUST_DRAW").is_none() {
        println!("skipped: the viewer cannot draw here: {said}");
        return None;
    }
    assert!(output.status.success(), "{said}");
    let file = std::fs::File::open(&path).expect("a picture");
    let mut reader = png::Decoder::new(std::io::BufReader::new(file)).read_info().expect("a PNG");
    let mut bytes = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut bytes).expect("a frame");
    let per = info.color_type.samples();
    let pixels = bytes[..info.buffer_size()].chunks_exact(per).map(|p| [p[0], p[1], p[2]]).collect();
    Some((info.width, info.height, pixels))
}

#[test]
fn the_window_is_drawn_at_both_sizes_with_the_car_in_it() {
    if !can_draw() {
        return;
    }
    for size in ["1280x720", "1920x1080"] {
        let Some((width, height, pixels)) = picture(&["--size", size, "--proposal", "low and wide"]) else { return };
        assert_eq!(format!("{width}x{height}"), size);
        // The car stands in the middle of what the panels leave free: many shades there, a flat ground would have few.
        let middle: HashSet<[u8; 3]> = pixels
            .iter()
            .enumerate()
            .filter(|(i, _)| {
                let (x, y) = (*i as u32 % width, *i as u32 / width);
                x > width * 2 / 5 && x < width * 9 / 10 && y > height / 5 && y < height * 7 / 10
            })
            .map(|(_, p)| *p)
            .collect();
        assert!(middle.len() > 500, "{size}: {} colours in the middle", middle.len());
    }
}

#[test]
fn a_proposal_looks_different_from_the_car_as_found() {
    if !can_draw() {
        return;
    }
    let (Some(found), Some(proposed)) = (picture(&[]), picture(&["--proposal", "low and wide"])) else { return };
    let changed = found.2.iter().zip(&proposed.2).filter(|(a, b)| a != b).count();
    assert!(changed * 20 > found.2.len(), "only {changed} pixels differ");
}
