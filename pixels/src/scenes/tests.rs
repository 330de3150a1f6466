//! What the demo photographs promise.

use super::*;
use canvas::area;
use image::imageops::{FilterType, overlay, resize};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

fn list() -> Vec<Photograph> {
    photographs().unwrap()
}

/// A photograph cut down to a few pixels, so that a test need not draw the whole.
fn small(mut photo: Photograph) -> Photograph {
    photo.recipe.size = [240, 180];
    photo
}

fn points(shape: &str) -> Vec<P> {
    let number = |text: &str| text.parse::<f32>().unwrap();
    shape.split(' ').skip(1).map(|pair| pair.split_once(',').unwrap()).map(|(x, y)| p(number(x), number(y))).collect()
}

#[test]
fn there_are_at_least_forty_four_and_no_name_twice() {
    let photos = list();
    assert!(photos.len() >= 44, "{}", photos.len());
    let names: BTreeSet<_> = photos.iter().map(|photo| &photo.file).collect();
    assert_eq!(names.len(), photos.len());
}

#[test]
fn every_worn_piece_has_a_front_and_a_back() {
    let mut views: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for photo in list() {
        views.entry(photo.number).or_default().insert(photo.view);
    }
    let pieces = [
        "2016.9",
        "2017.1",
        "2017.4a-b",
        "2018.2",
        "2018.7",
        "2019.1",
        "2019.5a-c",
        "2020.3",
        "2021.2",
        "2022.6",
        "2022.M1",
        "2023.R1",
        "2024.R2",
    ];
    for piece in pieces {
        assert!(views[piece].contains("front") && views[piece].contains("back"), "{piece}: {:?}", views[piece]);
    }
    for piece in ["2018.2", "2023.R1"] {
        assert!(views[piece].is_superset(&["interior", "detail", "macro"].map(String::from).into()), "{piece}");
    }
}

#[test]
fn words_for_view_light_and_stage_are_the_vocabulary_s() {
    let views =
        ["front", "back", "left side", "right side", "three-quarter", "interior", "detail", "macro", "damage", "label"];
    let lights =
        ["daylight from a north window", "daylight, overcast", "raking light", "LED panel", "transmitted light"];
    for photo in list() {
        assert!(views.contains(&photo.view.as_str()), "{}: view `{}`", photo.file, photo.view);
        assert!(lights.contains(&photo.light.as_str()), "{}: light `{}`", photo.file, photo.light);
        assert!(
            photo.stage.iter().all(|stage| ["before", "during", "after"].contains(&stage.as_str())),
            "{}",
            photo.file
        );
    }
}

#[test]
fn every_examination_seen_as_a_whole_shows_the_colour_target_and_every_picture_a_scale() {
    let mut seen: BTreeMap<(String, String), bool> = BTreeMap::new();
    for photo in list() {
        assert!(photo.recipe.bar_cm > 0, "{} has no scale bar", photo.file);
        if photo.view == "front" {
            *seen.entry((photo.number, photo.examination)).or_default() |= photo.recipe.target;
        }
    }
    assert!(seen.values().all(|target| *target), "{seen:?}");
    assert_eq!(seen.len(), 17, "one for each examination");
}

#[test]
fn every_recipe_names_a_figure_that_can_be_drawn() {
    let cloth = cloth::CLOTHS[0].1;
    let wardrobe = figures::Wardrobe { shell: cloth, lining: cloth, trim: cloth };
    for photo in list() {
        let figure = photo.recipe.figure.as_str();
        let known = closeup::SCENES.contains(&figure) || figures::named(figure, &wardrobe).is_some();
        assert!(known, "{}: `{figure}`", photo.file);
    }
}

#[test]
fn figures_are_made_of_outlines_with_finite_points() {
    let cloth = cloth::CLOTHS[0].1;
    let wardrobe = figures::Wardrobe { shell: cloth, lining: cloth, trim: cloth };
    for (name, make) in figures::FIGURES {
        for part in make(&wardrobe).parts {
            let figures::Part::Panel(panel) = part else { continue };
            assert!(panel.outline.len() > 3 && area(&panel.outline) > 1.0, "{name}");
            assert!(panel.outline.iter().all(|q| q.x.is_finite() && q.y.is_finite()), "{name}");
        }
    }
}

#[test]
fn damages_have_finite_shapes() {
    for damage in list().iter().flat_map(|photo| &photo.damages) {
        for ring in damage.wounds() {
            assert!(ring.iter().all(|q| q.x.is_finite() && q.y.is_finite()), "{}", damage.id);
        }
    }
}

#[test]
fn every_damage_is_outlined_inside_its_picture() {
    for photo in list() {
        assert_eq!(photo.regions.is_empty(), photo.damages.is_empty(), "{}: its damage lies outside", photo.file);
        for region in &photo.regions {
            for q in points(&region.shape) {
                let inside = q.x >= 0.0 && q.y >= 0.0 && q.x < photo.size.0 as f32 && q.y < photo.size.1 as f32;
                assert!(inside, "{}: region {} at {q:?}", photo.file, region.label);
            }
        }
    }
}

#[test]
fn an_outline_measured_by_the_scale_bar_has_the_area_on_record() {
    // Square centimetres as the condition notes give them.
    for (file, cm2) in [
        ("spencer-tideline-2018.jpg", 4.1),
        ("spencer-tideline-2025.jpg", 4.6),
        ("satin-shattering-2020.jpg", 12.0),
        ("satin-shattering-2025.jpg", 19.0),
    ] {
        let photo = list().into_iter().find(|photo| photo.file == file).unwrap();
        let measured = area(&points(&photo.regions[0].shape)) / photo.px_per_mm.powi(2) / 100.0;
        assert!((measured / cm2 - 1.0).abs() < 0.015, "{file}: {measured}");
    }
}

#[test]
fn the_same_photograph_is_the_same_bytes() {
    for name in ["spencer-slippage-2025.jpg", "gown-front-2019.jpg"] {
        let photo = small(list().into_iter().find(|photo| photo.file == name).unwrap());
        assert_eq!(jpeg(&photo).unwrap(), jpeg(&photo).unwrap(), "{name}");
    }
}

#[test]
fn the_file_carries_the_camera_s_record() {
    let photo = small(list().remove(0));
    let file = jpeg(&photo).unwrap();
    let exif = exif::Reader::new().read_from_container(&mut std::io::Cursor::new(&file)).unwrap();
    let text = |tag| exif.get_field(tag, exif::In::PRIMARY).map(|field| field.display_value().to_string());
    for (tag, want) in [
        (exif::Tag::Make, "\"Corran\""),
        (exif::Tag::Model, "\"Fieldglass 24\""),
        (exif::Tag::Orientation, "row 0 at left and column 0 at bottom"),
        (exif::Tag::DateTimeOriginal, "2018-11-14 11:20:05"),
        (exif::Tag::OffsetTimeOriginal, "\"+00:00\""),
        (exif::Tag::ExposureTime, "1/30"),
        (exif::Tag::FNumber, "8"),
        (exif::Tag::PhotographicSensitivity, "200"),
        (exif::Tag::FocalLength, "35"),
        (exif::Tag::PixelXDimension, "180"),
        (exif::Tag::LightSource, "daylight"),
        (exif::Tag::WhiteBalance, "manual white balance"),
        (exif::Tag::Artist, "\"Wren Askerdale\""),
    ] {
        assert_eq!(text(tag).as_deref(), Some(want), "{tag}");
    }
    let decoded = image::load_from_memory(&file).unwrap();
    assert_eq!((decoded.width(), decoded.height()), (180, 240), "orientation 8: stored turned");
}

#[test]
fn weaves_are_the_tabulated_ones() {
    // Matrix, longest warp float, longest weft float; bottom row first, 1 = warp end up. Source: computed with numpy
    // from the weave codes of ISO 9354 (codes from memory).
    for (name, matrix, warp, weft) in [
        ("plain (tabby)", "10/01", 1, 1),
        ("2/1 twill Z", "110/011/101", 2, 1),
        ("2/1 twill S", "110/101/011", 2, 1),
        ("2/2 twill Z", "1100/0110/0011/1001", 2, 2),
        ("5-end warp-faced satin, step 2", "01111/11011/11110/10111/11101", 4, 1),
    ] {
        let rows = cloth::WEAVES.iter().find(|weave| weave.0 == name).unwrap().1;
        assert_eq!(rows.join("/"), matrix, "{name}");
        let n = rows.len();
        let up = |end: usize, pick: usize| rows[pick % n].as_bytes()[end % n] == b'1';
        let longest = |hit: &dyn Fn(usize, usize) -> bool| {
            (0..n)
                .map(|thread| {
                    let mut best = 0;
                    let mut run = 0;
                    for at in 0..2 * n {
                        run = if hit(thread, at) { run + 1 } else { 0 };
                        best = best.max(run);
                    }
                    best
                })
                .max()
        };
        assert_eq!(longest(&|end, pick| up(end, pick)), Some(warp), "{name}: warp float");
        assert_eq!(longest(&|pick, end| !up(end, pick)), Some(weft), "{name}: weft float");
    }
}

#[test]
fn a_z_twill_climbs_to_the_right_on_the_picture() {
    // Pick v + 1 lies above pick v and its binding points lie one end further right.
    let silk = cloth::named("green silk twill").unwrap();
    let on_top =
        |end: f32, pick: f32| silk.threads(end + 0.5, pick + 0.5, cloth::NEVER, cloth::Gone::default()).warp_up;
    for pick in 0..6 {
        for end in 0..6 {
            assert_eq!(on_top(end as f32, pick as f32), on_top((end + 1) as f32, (pick + 1) as f32), "{end} {pick}");
        }
    }
    assert_ne!(on_top(1.0, 0.0), on_top(2.0, 0.0));
}

/// Writes all photographs to the folder named by DRAW_TO, for looking at; `DRAW_ONLY` picks by a part of the name.
#[test]
#[ignore = "writes files for looking at"]
fn look() {
    let Ok(folder) = std::env::var("DRAW_TO") else { return };
    let only = std::env::var("DRAW_ONLY").unwrap_or_default();
    std::fs::create_dir_all(&folder).unwrap();
    let clock = std::time::Instant::now();
    let list = photographs().unwrap();
    let bytes: usize = list
        .par_iter()
        .filter(|photo| photo.file.contains(&only))
        .map(|photo| {
            let begun = std::time::Instant::now();
            let file = jpeg(photo).unwrap();
            println!("{} {} kB {:?}", photo.file, file.len() / 1000, begun.elapsed());
            std::fs::write(format!("{folder}/{}", photo.file), &file).unwrap();
            file.len()
        })
        .sum();
    // Contact sheets of eight, for a first look.
    if std::env::var("DRAW_SHEETS").is_ok() {
        let chosen: Vec<&Photograph> = list.iter().filter(|photo| photo.file.contains(&only)).collect();
        chosen.par_chunks(8).enumerate().for_each(|(i, eight)| {
            let mut sheet = RgbImage::new(1960, 1300);
            for (k, photo) in eight.iter().enumerate() {
                let picture = draw(photo);
                let shrink = (480.0 / picture.width() as f32).min(640.0 / picture.height() as f32);
                let (w, h) = ((picture.width() as f32 * shrink) as u32, (picture.height() as f32 * shrink) as u32);
                let small = resize(&picture, w, h, FilterType::CatmullRom);
                overlay(&mut sheet, &small, (k % 4) as i64 * 490, (k / 4) as i64 * 650);
            }
            sheet.save(format!("{folder}/sheet-{i}.png")).unwrap();
        });
    }
    println!("took {:?}, {} kB in {}", clock.elapsed(), bytes / 1000, list.len());
}
