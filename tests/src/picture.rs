//! Pictures of egui's output without a window: a rasteriser of its triangles that gives the same bytes on every
//! machine.

use std::collections::HashMap;
use std::fs::{self, File};
use std::io::BufWriter;
use std::path::Path;

use anyhow::Context as _;
use egui::epaint::{ClippedShape, ImageData, ImageDelta, Mesh, Primitive, Vertex};
use egui::{
    Color32, ColorImage, Context, Event, Modifiers, PointerButton, Pos2, RawInput, Rect, Shape, TextureId,
    Ui, Vec2, ViewportId, pos2,
};

/// Frames that are run, of which the last is kept: layout and fonts have settled by then.
const FRAMES: usize = 3;
/// Time between frames, in seconds.
const FRAME_S: f64 = 0.1;

/// What was drawn in one frame: its shapes, and its pixels.
pub struct Picture {
    /// What egui was told to paint, in order, nested shapes taken apart. In points.
    pub shapes: Vec<ClippedShape>,
    /// The pixels on black, row by row, premultiplied.
    pub pixels: Vec<Color32>,
    /// Width and height in pixels.
    pub size: [usize; 2],
}

impl Picture {
    /// Draws on a window of this size, in points, at so many pixels a point, until the drawing has settled.
    pub fn of(size: Vec2, pixels_per_point: f32, draw: impl FnMut(&mut Ui)) -> Self {
        Self::after(&[], size, pixels_per_point, draw)
    }

    /// The same after a hand has done this, a frame each.
    pub fn after(events: &[Event], size: Vec2, pixels_per_point: f32, draw: impl FnMut(&mut Ui)) -> Self {
        let Settled { ctx, shapes, textures } = Settled::of(events, size, pixels_per_point, draw);
        let mut canvas = Canvas::new(size * pixels_per_point);
        for clipped in ctx.tessellate(shapes.clone(), pixels_per_point) {
            let Primitive::Mesh(mesh) = clipped.primitive else {
                panic!("the picture holds a callback, which only a window can paint");
            };
            canvas.paint(&mesh, &textures[&mesh.texture_id], clipped.clip_rect, pixels_per_point);
        }
        let shapes = shapes.into_iter().flat_map(flat).collect();
        Self { shapes, pixels: canvas.pixels, size: canvas.size }
    }

    /// Writes a PNG, and the folder for it where there is none.
    ///
    /// # Errors
    ///
    /// The file can't be written.
    pub fn save(&self, path: &Path) -> anyhow::Result<()> {
        let folder = path.parent().context("a picture's path has a folder")?;
        fs::create_dir_all(folder).with_context(|| format!("can't make the folder {}", folder.display()))?;
        let file = File::create(path).with_context(|| format!("can't write {}", path.display()))?;
        let [width, height] = self.size.map(|pixels| u32::try_from(pixels).expect("a window's size"));
        let mut encoder = png::Encoder::new(BufWriter::new(file), width, height);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        let bytes: Vec<u8> = self.pixels.iter().flat_map(|pixel| [pixel.r(), pixel.g(), pixel.b()]).collect();
        encoder.write_header()?.write_image_data(&bytes)?;
        Ok(())
    }

    /// The pixel at a place, in pixels.
    pub fn pixel(&self, x: usize, y: usize) -> Color32 {
        self.pixels[y * self.size[0] + x]
    }
}

/// The shapes alone, which cost no pixels: see [`Picture::shapes`].
pub fn shapes(size: Vec2, pixels_per_point: f32, draw: impl FnMut(&mut Ui)) -> Vec<ClippedShape> {
    shapes_after(&[], size, pixels_per_point, draw)
}

/// The same after a hand has done this, a frame each.
pub fn shapes_after(
    events: &[Event],
    size: Vec2,
    pixels_per_point: f32,
    draw: impl FnMut(&mut Ui),
) -> Vec<ClippedShape> {
    Settled::of(events, size, pixels_per_point, draw).shapes.into_iter().flat_map(flat).collect()
}

/// Where the last text of these words is written, its middle, in points.
pub fn place_of(shapes: &[ClippedShape], words: &str) -> Option<Pos2> {
    shapes.iter().rev().find_map(|clipped| match &clipped.shape {
        Shape::Text(text) if text.galley.text() == words => Some(text.visual_bounding_rect().center()),
        _ => None,
    })
}

/// The mouse's button goes down or up at a place.
pub fn button(pos: Pos2, pressed: bool) -> Event {
    Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE }
}

/// A click at a place.
pub fn click(pos: Pos2) -> [Event; 3] {
    [Event::PointerMoved(pos), button(pos, true), button(pos, false)]
}

/// A drawing that no longer changes from frame to frame.
struct Settled {
    ctx: Context,
    shapes: Vec<ClippedShape>,
    textures: HashMap<TextureId, ColorImage>,
}

impl Settled {
    fn of(events: &[Event], size: Vec2, pixels_per_point: f32, mut draw: impl FnMut(&mut Ui)) -> Self {
        let ctx = Context::default();
        let mut textures = HashMap::new();
        let mut shapes = Vec::new();
        // The first frame lays out what a hand can reach.
        let steps = std::iter::once(None).chain(events.iter().map(Some));
        let steps = steps.chain(std::iter::repeat_n(None, FRAMES - 1));
        for (frame, event) in steps.enumerate() {
            let mut input = RawInput {
                screen_rect: Some(Rect::from_min_size(Pos2::ZERO, size)),
                time: Some(frame as f64 * FRAME_S),
                events: event.cloned().into_iter().collect(),
                ..RawInput::default()
            };
            let viewport = input.viewports.entry(ViewportId::ROOT).or_default();
            viewport.native_pixels_per_point = Some(pixels_per_point);
            let mut output = ctx.run_ui(input, &mut draw);
            for (id, deltas) in output.textures_delta.set.drain() {
                for delta in deltas {
                    update(&mut textures, id, delta);
                }
            }
            for id in output.textures_delta.free.drain() {
                textures.remove(&id);
            }
            shapes = output.shapes;
        }
        Self { ctx, shapes, textures }
    }
}

fn flat(clipped: ClippedShape) -> Vec<ClippedShape> {
    match &clipped.shape {
        Shape::Noop => Vec::new(),
        Shape::Vec(shapes) => {
            let part = |shape: &Shape| flat(ClippedShape { shape: shape.clone(), ..clipped.clone() });
            shapes.iter().flat_map(part).collect()
        }
        _ => vec![clipped],
    }
}

fn update(textures: &mut HashMap<TextureId, ColorImage>, id: TextureId, delta: ImageDelta) {
    let ImageData::Color(patch) = delta.image;
    let Some([left, top]) = delta.pos else {
        textures.insert(id, (*patch).clone());
        return;
    };
    let texture = textures.get_mut(&id).expect("a patch is for a texture that is there");
    let width = texture.size[0];
    for (row, colours) in patch.pixels.chunks_exact(patch.size[0]).enumerate() {
        let start = (top + row) * width + left;
        texture.pixels[start..start + colours.len()].copy_from_slice(colours);
    }
}

struct Canvas {
    size: [usize; 2],
    pixels: Vec<Color32>,
}

impl Canvas {
    fn new(size: Vec2) -> Self {
        let size = [size.x.round() as usize, size.y.round() as usize];
        Self { size, pixels: vec![Color32::BLACK; size[0] * size[1]] }
    }

    fn paint(&mut self, mesh: &Mesh, texture: &ColorImage, clip: Rect, pixels_per_point: f32) {
        let clip = clip * pixels_per_point;
        let edge = |at: f32, size: usize| at.round().clamp(0.0, size as f32) as usize;
        let columns = edge(clip.min.x, self.size[0])..edge(clip.max.x, self.size[0]);
        let rows = edge(clip.min.y, self.size[1])..edge(clip.max.y, self.size[1]);
        for triangle in mesh.indices.chunks_exact(3) {
            let corners = [0, 1, 2].map(|corner| {
                let vertex = mesh.vertices[triangle[corner] as usize];
                Vertex { pos: (vertex.pos.to_vec2() * pixels_per_point).to_pos2(), ..vertex }
            });
            self.fill(corners, texture, &columns, &rows);
        }
    }

    /// Colours each pixel whose centre lies in the triangle; one on an edge belongs to the triangle on its
    /// upper or left side, so that neighbours share none.
    fn fill(
        &mut self,
        [a, mut b, mut c]: [Vertex; 3],
        texture: &ColorImage,
        columns: &std::ops::Range<usize>,
        rows: &std::ops::Range<usize>,
    ) {
        let mut area = cross(a.pos, b.pos, c.pos);
        if area < 0.0 {
            (b, c, area) = (c, b, -area);
        }
        if area == 0.0 || !area.is_finite() {
            return;
        }
        let bounds = Rect::from_points(&[a.pos, b.pos, c.pos]);
        let within = |low: f32, high: f32, range: &std::ops::Range<usize>| {
            (low.floor().max(0.0) as usize).max(range.start)..(high.ceil().max(0.0) as usize).min(range.end)
        };
        for y in within(bounds.min.y, bounds.max.y, rows) {
            for x in within(bounds.min.x, bounds.max.x, columns) {
                let centre = pos2(x as f32 + 0.5, y as f32 + 0.5);
                let weights = [(b.pos, c.pos), (c.pos, a.pos), (a.pos, b.pos)].map(|(from, to)| {
                    let weight = cross(from, to, centre);
                    let inside = weight > 0.0 || weight == 0.0 && owns(from, to);
                    inside.then_some(weight / area)
                });
                let [Some(wa), Some(wb), Some(wc)] = weights else { continue };
                let mix = |of: fn(&Vertex) -> f32| of(&a) * wa + of(&b) * wb + of(&c) * wc;
                let texel = sample(texture, mix(|v| v.uv.x), mix(|v| v.uv.y));
                let colour = [
                    mix(|v| v.color.r().into()),
                    mix(|v| v.color.g().into()),
                    mix(|v| v.color.b().into()),
                    mix(|v| v.color.a().into()),
                ];
                let pixel = &mut self.pixels[y * self.size[0] + x];
                *pixel = over([0, 1, 2, 3].map(|i| colour[i] * texel[i]), *pixel);
            }
        }
    }
}

/// Twice the area of the triangle, above 0 when it turns clockwise on the screen.
fn cross(a: Pos2, b: Pos2, c: Pos2) -> f32 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Whether a clockwise edge keeps the centres that lie on it: a top edge or a left one.
fn owns(from: Pos2, to: Pos2) -> bool {
    (from.y == to.y && to.x > from.x) || to.y < from.y
}

/// The texture's colour between its pixels, each channel 0 to 1.
fn sample(texture: &ColorImage, u: f32, v: f32) -> [f32; 4] {
    let [width, height] = texture.size;
    let x = (u * width as f32 - 0.5).clamp(0.0, (width - 1) as f32);
    let y = (v * height as f32 - 0.5).clamp(0.0, (height - 1) as f32);
    let (left, top) = (x.floor() as usize, y.floor() as usize);
    let (right, bottom) = ((left + 1).min(width - 1), (top + 1).min(height - 1));
    let (along, down) = (x - left as f32, y - top as f32);
    let at = |x: usize, y: usize| texture.pixels[y * width + x].to_array().map(|c| f32::from(c) / 255.0);
    let [nw, ne, sw, se] = [at(left, top), at(right, top), at(left, bottom), at(right, bottom)];
    [0, 1, 2, 3].map(|i| {
        let upper = nw[i] + (ne[i] - nw[i]) * along;
        let lower = sw[i] + (se[i] - sw[i]) * along;
        upper + (lower - upper) * down
    })
}

/// A premultiplied colour, 0 to 255 a channel, over what is there: in gamma space, as egui blends.
fn over(colour: [f32; 4], below: Color32) -> Color32 {
    let shines_through = 1.0 - colour[3] / 255.0;
    let below = below.to_array().map(f32::from);
    let [r, g, b, a] =
        [0, 1, 2, 3].map(|i| (colour[i] + below[i] * shines_through).round().clamp(0.0, 255.0) as u8);
    Color32::from_rgba_premultiplied(r, g, b, a)
}

#[cfg(test)]
mod tests {
    use egui::{Stroke, vec2};

    use super::*;

    fn painted(draw: impl Fn(&egui::Painter)) -> Picture {
        Picture::of(vec2(40.0, 30.0), 1.0, |ui| draw(&ui.ctx().debug_painter()))
    }

    #[test]
    fn a_rectangle_fills_its_pixels_and_no_others() {
        let picture = painted(|painter| {
            painter.rect_filled(Rect::from_min_max(pos2(10.0, 5.0), pos2(20.0, 15.0)), 0.0, Color32::RED);
        });
        let red = picture.pixels.iter().filter(|pixel| **pixel == Color32::RED).count();
        assert_eq!(red, 100, "ten by ten");
        assert_eq!(picture.pixel(10, 5), Color32::RED);
        assert_eq!(picture.pixel(9, 5), Color32::BLACK);
    }

    #[test]
    fn a_half_transparent_colour_lets_half_of_what_is_below_through() {
        let whole = Rect::from_min_max(Pos2::ZERO, pos2(40.0, 30.0));
        let picture = painted(|painter| {
            painter.rect_filled(whole, 0.0, Color32::WHITE);
            painter.rect_filled(whole, 0.0, Color32::from_black_alpha(128));
        });
        assert_eq!(picture.pixel(20, 15).r(), 127, "255·(1 − 128/255)");
    }

    #[test]
    fn neighbouring_triangles_share_no_pixel() {
        let half = Color32::from_white_alpha(100);
        let picture = painted(|painter| {
            let corners = [pos2(3.0, 4.0), pos2(33.0, 7.0), pos2(30.0, 27.0), pos2(5.0, 22.0)];
            let mut mesh = Mesh::default();
            for corner in corners {
                mesh.colored_vertex(corner, half);
            }
            mesh.add_triangle(0, 1, 2);
            mesh.add_triangle(0, 2, 3);
            painter.add(mesh);
        });
        let colours: std::collections::HashSet<_> = picture.pixels.iter().collect();
        assert_eq!(colours.len(), 2, "the mesh once, and nothing: {colours:?}");
    }

    #[test]
    fn a_line_reaches_from_end_to_end() {
        let picture = painted(|painter| {
            painter.line_segment([pos2(5.0, 10.5), pos2(35.0, 10.5)], Stroke::new(1.0, Color32::WHITE));
        });
        let lit = (0..40).filter(|x| picture.pixel(*x, 10).r() > 200).count();
        assert!((28..=31).contains(&lit), "{lit} pixels");
    }
}
