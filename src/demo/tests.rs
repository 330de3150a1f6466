//! What the demo photographs promise.

use super::*;
use rayon::prelude::*;

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
    println!("took {:?}, {} kB in {}", clock.elapsed(), bytes / 1000, list.len());
}
