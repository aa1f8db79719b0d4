//! A sheet as a picture of grey dots, from its svg.

use std::sync::{Arc, OnceLock};

use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};

use super::scene::Scene;
use super::svg;
use crate::problem::Problem;

/// What every picture of ours says of itself: only such files are written over.
const DRAWN_BY: (&str, &str) = ("Software", "rodbook");
/// Dots per inch.
const DOTS: f32 = 200.0;
const MM_PER_INCH: f32 = 25.4;

/// The faces that texts are set in.
fn faces() -> Arc<fontdb::Database> {
    static FACES: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let load = || {
        let mut faces = fontdb::Database::new();
        faces.load_font_data(notosans::REGULAR_TTF.to_vec());
        faces.load_font_data(notosans::BOLD_TTF.to_vec());
        faces.set_sans_serif_family("Noto Sans");
        Arc::new(faces)
    };
    Arc::clone(FACES.get_or_init(load))
}

/// The sheet as png, 200 dots to the inch.
///
/// # Errors
/// The picture library refuses it.
pub fn png(scene: &Scene) -> Result<Vec<u8>, Problem> {
    let fault = |what: &dyn std::fmt::Display| {
        Problem::error(format!("the picture cannot be drawn: {what}"))
            .help("the svg sheets and the pdf have the same drawing")
    };
    // By default a user unit is a dot at 96 to the inch; the sheet is in millimetres.
    let options = Options { dpi: DOTS, fontdb: faces(), ..Options::default() };
    let tree = Tree::from_str(&svg(scene), &options).map_err(|error| fault(&error))?;
    let size = tree.size().to_int_size();
    let mut dots = Pixmap::new(size.width(), size.height()).ok_or_else(|| fault(&"no size"))?;
    dots.fill(Color::WHITE);
    resvg::render(&tree, Transform::identity(), &mut dots.as_mut());
    // Everything is drawn in grey on white, so that one channel is all.
    let grey: Vec<u8> = dots.pixels().iter().map(|dot| dot.red()).collect();
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, size.width(), size.height());
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    let per_metre = 1000.0 * DOTS / MM_PER_INCH;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few thousand")]
    let per_metre = crate::measure::round::nearest_f64(per_metre.into()) as u32;
    encoder.set_pixel_dims(Some(png::PixelDimensions {
        xppu: per_metre,
        yppu: per_metre,
        unit: png::Unit::Meter,
    }));
    let (key, text) = DRAWN_BY;
    encoder.add_text_chunk(key.to_owned(), text.to_owned()).map_err(|error| fault(&error))?;
    let mut writer = encoder.write_header().map_err(|error| fault(&error))?;
    writer.write_image_data(&grey).map_err(|error| fault(&error))?;
    writer.finish().map_err(|error| fault(&error))?;
    Ok(bytes)
}

/// Sheets as png, in their order, by as many threads as the machine has cores.
pub fn pngs(scenes: &[&Scene]) -> Vec<Result<Vec<u8>, Problem>> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let each = scenes.len().div_ceil(cores).max(1);
    let broken = |of: usize| {
        let problem = || Err(Problem::error("the picture cannot be drawn"));
        (0..of).map(|_| problem()).collect::<Vec<_>>()
    };
    std::thread::scope(|scope| {
        let draw = |part: &[&Scene]| part.iter().map(|scene| png(scene)).collect::<Vec<_>>();
        let parts = scenes.chunks(each).map(|part| (part.len(), scope.spawn(move || draw(part))));
        let parts: Vec<_> = parts.collect();
        let drawn = parts.into_iter();
        drawn.flat_map(|(of, part)| part.join().unwrap_or_else(|_| broken(of))).collect()
    })
}

/// Whether bytes are a png picture of a size that papers have, whole to its last row.
pub fn is_whole_png(bytes: &[u8]) -> bool {
    let limits = png::Limits { bytes: MOST_BYTES };
    let decoder = png::Decoder::new_with_limits(std::io::Cursor::new(bytes), limits);
    let Ok(mut reader) = decoder.read_info() else { return false };
    let Some(size) = reader.output_buffer_size().filter(|size| *size <= MOST_BYTES) else {
        return false;
    };
    reader.next_frame(&mut vec![0; size]).is_ok()
}

/// Most bytes of a picture that is read, without its packing.
const MOST_BYTES: usize = 64 << 20;

/// Whether a file is a picture of ours.
pub fn is_our_png(bytes: &[u8]) -> bool {
    let (key, text) = DRAWN_BY;
    let said = [key.as_bytes(), b"\0", text.as_bytes()].concat();
    let head = &bytes[..bytes.len().min(512)];
    bytes.starts_with(b"\x89PNG") && head.windows(said.len()).any(|part| part == said)
}
