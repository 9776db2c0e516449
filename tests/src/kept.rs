//! Pictures that are kept to compare with: how two are compared, and how one is written small.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{BufReader, BufWriter};
use std::path::Path;

use anyhow::{Context as _, bail, ensure};
use egui::Color32;

/// Two pixels are the same to an eye up to this share of the distance between black and white (ours). The pictures are the
/// same on every machine but for the rounding of floats; this is a hair's shade, and a letter that is gone is far more.
const SAME_SHARE: f64 = 0.06;
/// So many pixels may differ (ours): an edge that falls on the other side of a pixel's centre.
pub const DIFFERENT_MOST: usize = 10;

/// The distance between black and white in [`distance`]: 0.5053 · 255² (Y of white is 255, I and Q are 0), and what
/// saturated colours add. Kotsarenko and Ramos, "Measuring perceived color difference using YIQ NTSC transmission color
/// space in mobile applications", Programación Matemática y Software 2 (2010), as commonly used (from memory).
const FARTHEST: f64 = 35_215.0;

/// Pixels, row by row.
pub struct Image {
    /// Width and height in pixels.
    pub size: [usize; 2],
    /// Opaque colours.
    pub pixels: Vec<Color32>,
}

/// How far two colours lie apart to an eye, squared: weighted over luma and the two axes of chroma (YIQ). The source stands
/// at [`FARTHEST`].
fn distance(one: Color32, other: Color32) -> f64 {
    let of = |weights: [f64; 3]| {
        let along = |c: Color32| {
            weights[0] * f64::from(c.r()) + weights[1] * f64::from(c.g()) + weights[2] * f64::from(c.b())
        };
        along(one) - along(other)
    };
    let y = of([0.298_895_31, 0.586_622_47, 0.114_482_23]);
    let i = of([0.595_977_99, -0.274_176_10, -0.321_801_89]);
    let q = of([0.211_470_17, -0.522_617_11, 0.311_146_94]);
    0.5053 * y * y + 0.299 * i * i + 0.1957 * q * q
}

/// Which pixels differ to an eye.
///
/// # Errors
///
/// The pictures are not of one size.
pub fn different(one: &Image, other: &Image) -> anyhow::Result<Vec<bool>> {
    ensure!(one.size == other.size, "it is {:?} pixels large, and {:?} were kept", one.size, other.size);
    let most = FARTHEST * SAME_SHARE * SAME_SHARE;
    Ok(one.pixels.iter().zip(&other.pixels).map(|(one, other)| distance(*one, *other) > most).collect())
}

/// The picture, pale, with what differs in red.
pub fn difference(of: &Image, different: &[bool]) -> Image {
    let pale = |c: Color32| Color32::from_gray(128 + c.g() / 4);
    let pixels = of.pixels.iter().zip(different).map(|(c, is)| if *is { Color32::RED } else { pale(*c) });
    Image { size: of.size, pixels: pixels.collect() }
}

/// Reads a PNG of red, green and blue, or of a table of them.
///
/// # Errors
///
/// The file can't be read, or is none.
pub fn read(path: &Path) -> anyhow::Result<Image> {
    let file = File::open(path).with_context(|| format!("can't read {}", path.display()))?;
    let mut decoder = png::Decoder::new(BufReader::new(file));
    decoder.set_transformations(png::Transformations::EXPAND);
    let mut reader = decoder.read_info().with_context(|| format!("{} is no picture", path.display()))?;
    let mut bytes = vec![0; reader.output_buffer_size().context("a picture too large to hold")?];
    let info = reader.next_frame(&mut bytes)?;
    if info.color_type != png::ColorType::Rgb {
        bail!("{} holds {:?}, not red, green and blue", path.display(), info.color_type);
    }
    let pixels = bytes[..info.buffer_size()].chunks_exact(3).map(|c| Color32::from_rgb(c[0], c[1], c[2]));
    Ok(Image { size: [info.width as usize, info.height as usize], pixels: pixels.collect() })
}

/// So far apart lie the shades of a channel that is kept: half of it is nothing to [`different`].
const SHADES: u8 = 8;

/// A colour by the nearest shades that are kept.
fn shaded(colour: Color32) -> [u8; 3] {
    let near = |channel: u8| {
        let shade = (u16::from(channel) + u16::from(SHADES) / 2) / u16::from(SHADES) * u16::from(SHADES);
        u8::try_from(shade).unwrap_or(u8::MAX)
    };
    [colour.r(), colour.g(), colour.b()].map(near)
}

/// Writes a PNG as small as it goes, and the folder for it where there is none: by the nearest shade, with a table of
/// colours where they are few.
///
/// # Errors
///
/// The file can't be written.
pub fn write(image: &Image, path: &Path) -> anyhow::Result<()> {
    let folder = path.parent().context("a picture's path has a folder")?;
    fs::create_dir_all(folder).with_context(|| format!("can't make the folder {}", folder.display()))?;
    let [width, height] = image.size.map(u32::try_from);
    let shades: Vec<[u8; 3]> = image.pixels.iter().map(|colour| shaded(*colour)).collect();
    let table: Vec<[u8; 3]> = shades.iter().copied().collect::<BTreeSet<_>>().into_iter().collect();
    // Beside the kept one first, then in its place: a picture is never half written.
    let aside = path.with_extension("part");
    let file = File::create(&aside).with_context(|| format!("can't write {}", aside.display()))?;
    let mut encoder = png::Encoder::new(BufWriter::new(file), width?, height?);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::High);
    let bytes: Vec<u8> = if table.len() <= 256 {
        encoder.set_color(png::ColorType::Indexed);
        encoder.set_palette(table.concat());
        encoder.set_filter(png::Filter::NoFilter);
        let index = |shade: &[u8; 3]| table.binary_search(shade).map_or(0, |index| index as u8);
        shades.iter().map(index).collect()
    } else {
        encoder.set_color(png::ColorType::Rgb);
        shades.concat()
    };
    encoder.write_header()?.write_image_data(&bytes)?;
    fs::rename(&aside, path).with_context(|| format!("can't write {}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(colour: Color32) -> Image {
        Image { size: [8, 8], pixels: vec![colour; 64] }
    }

    #[test]
    fn black_and_white_lie_as_far_apart_as_the_formula_says() {
        let farthest = distance(Color32::BLACK, Color32::WHITE);
        assert!((farthest - 0.5053 * 255.0 * 255.0).abs() < 1.0, "{farthest}");
        assert!(farthest < FARTHEST);
        assert_eq!(distance(Color32::RED, Color32::RED), 0.0);
    }

    #[test]
    fn rounding_is_no_difference_and_a_pale_letter_is_one() {
        let ground = plain(Color32::from_rgb(0x1C, 0x19, 0x17));
        let mut other = plain(Color32::from_rgb(0x1D, 0x18, 0x18));
        assert!(different(&ground, &other).unwrap().iter().all(|is| !is));
        other.pixels[9] = Color32::from_rgb(0x32, 0x2C, 0x25).gamma_multiply(1.0);
        other.pixels[10] = Color32::from_rgb(0xA9, 0x9C, 0x86);
        let found = different(&ground, &other).unwrap();
        assert!(found[10] && found.iter().filter(|is| **is).count() <= 2);
        assert!(different(&ground, &Image { size: [4, 16], ..plain(Color32::RED) }).is_err());
    }

    #[test]
    fn a_picture_is_read_back_as_it_was_written_to_the_nearest_shade() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("one/two.png");
        let mut image = plain(Color32::from_rgb(1, 2, 3));
        image.pixels[7] = Color32::from_rgb(200, 100, 255);
        write(&image, &path).unwrap();
        let back = read(&path).unwrap();
        assert_eq!(back.pixels[7], Color32::from_rgb(200, 104, 255));
        assert!(different(&image, &back).unwrap().iter().all(|is| !is));
        // More colours than a table holds.
        let many = (0..64).map(|n: u8| Color32::from_rgb(n * 4, 255 - n * 4, 128));
        let many: Vec<Color32> =
            many.flat_map(|c| (0..8).map(move |b| Color32::from_rgb(c.r(), c.g(), b * 32))).collect();
        let image = Image { size: [64, 8], pixels: many };
        write(&image, &path).unwrap();
        assert!(different(&image, &read(&path).unwrap()).unwrap().iter().all(|is| !is));
        assert!(read(&folder.path().join("none.png")).is_err());
    }
}
