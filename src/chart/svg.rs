//! The drawing backend: what plotters draws becomes paths and groups of text.
//!
//! One unit is a hundredth of a millimetre, so whole numbers are fine enough and short. Strokes of
//! one style that follow each other share an element, and so do texts.

use std::convert::Infallible;
use std::fmt::Write;

use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
    FontStyle, FontTransform,
};
use pulldown_cmark_escape::escape_html;

use super::pen::{Colour, Use, class, dashes};
use super::text::{clean, push, width};
use super::thin::thin;

type Outcome = Result<(), DrawingErrorKind<Infallible>>;

/// Size of ordinary text, 7.1 points; other sizes are said at their group.
pub(super) const TEXT: i32 = 250;
/// Behind a label: the paper's colour where no style sheet says better.
const RIM: &str =
    r##" stroke="#fff" stroke-width="60" stroke-linejoin="round" paint-order="stroke""##;

/// An element, by what its start says: whatever starts alike and follows each other shares one.
#[derive(Clone, Copy, PartialEq)]
enum Element {
    /// Strokes of a colour, an opacity and a width.
    Strokes(Colour, f64, u32),
    Fill(Colour),
    /// Texts of a colour and a size, perhaps bold, and how they lie to their places.
    Texts(Colour, i32, bool, &'static str),
}

impl Element {
    fn strokes(style: &impl BackendStyle) -> Self {
        let BackendColor { rgb, alpha } = style.color();
        Self::Strokes(rgb, alpha, style.stroke_width())
    }

    fn open(self, out: &mut String) {
        match self {
            Self::Strokes(colour, alpha, width) => {
                out.push_str(r#"<path class=""#);
                out.extend(class(colour));
                out.push_str(r#"" fill="none" stroke="currentColor" stroke-width=""#);
                push(out, width as i32);
                out.push('"');
                if alpha < 1.0 {
                    let _ = write!(out, r#" stroke-opacity="{alpha}""#);
                }
                match dashes(colour) {
                    "" => out.push_str(r#" stroke-linecap="round""#),
                    dashes => out.extend([r#" stroke-dasharray=""#, dashes, "\""]),
                }
                out.push_str(r#" stroke-linejoin="round" d=""#);
            }
            Self::Fill(colour) => {
                out.push_str(r#"<path class=""#);
                out.extend(class(colour));
                out.push_str(r#"" fill="currentColor" fill-opacity=".22" stroke="none" d=""#);
            }
            Self::Texts(colour, size, bold, anchor) => {
                out.push_str("<g");
                let class = class(colour);
                if class != ["", ""] {
                    out.push_str(r#" class=""#);
                    out.extend(class);
                    out.push('"');
                }
                if colour.2 == Use::Label as u8 {
                    out.push_str(RIM);
                }
                if size != TEXT {
                    let _ = write!(out, r#" font-size="{size}""#);
                }
                if bold {
                    out.push_str(r#" font-weight="600""#);
                }
                if !anchor.is_empty() {
                    out.extend([r#" text-anchor=""#, anchor, "\""]);
                }
                out.push('>');
            }
        }
    }

    fn close(self) -> &'static str {
        match self {
            Self::Strokes(..) | Self::Fill(_) => r#""/>"#,
            Self::Texts(..) => "</g>",
        }
    }
}

/// Writes the inside of an SVG element.
pub(super) struct Svg<'a> {
    out: &'a mut String,
    size: (u32, u32),
    open: Option<Element>,
    /// The points of the path in hand, kept for the room that they take.
    points: Vec<BackendCoord>,
}

impl<'a> Svg<'a> {
    pub(super) fn new(out: &'a mut String, size: (u32, u32)) -> Self {
        Self {
            out,
            size,
            open: None,
            points: Vec::new(),
        }
    }

    /// Goes on in the element that is open if it starts alike, else opens another.
    fn within(&mut self, element: Element) {
        if self.open != Some(element) {
            self.close();
            element.open(self.out);
            self.open = Some(element);
        }
    }

    fn close(&mut self) {
        self.out
            .push_str(self.open.take().map_or("", Element::close));
    }

    fn numbers(&mut self, parts: impl IntoIterator<Item = (&'static str, i32)>) {
        for (before, number) in parts {
            self.out.push_str(before);
            push(self.out, number);
        }
    }

    /// Path data through the points, in steps from one to the next.
    fn path(&mut self, points: impl IntoIterator<Item = BackendCoord>) {
        let mut kept = std::mem::take(&mut self.points);
        thin(points, &mut kept);
        self.steps(&kept);
        self.points = kept;
    }

    fn steps(&mut self, points: &[BackendCoord]) {
        let Some((first, rest)) = points.split_first() else {
            return;
        };
        self.numbers([("M", first.0), (" ", first.1)]);
        let mut at = *first;
        for (steps, point) in rest.iter().enumerate() {
            if point == first && steps + 1 == rest.len() {
                self.out.push('z');
                return;
            }
            self.step(point.0 - at.0, point.1 - at.1, steps);
            at = *point;
        }
        if rest.is_empty() {
            // A stroke without length shows as a dot only if it is written as one.
            self.out.push_str("h0");
        }
    }

    fn step(&mut self, dx: i32, dy: i32, steps: usize) {
        let lead = match (steps, dx) {
            (0, _) => "l",
            (_, ..0) => "",
            _ => " ",
        };
        let gap = if dy < 0 { "" } else { " " };
        self.numbers([(lead, dx), (gap, dy)]);
    }
}

impl DrawingBackend for Svg<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        self.size
    }

    fn ensure_prepared(&mut self) -> Outcome {
        Ok(())
    }

    fn present(&mut self) -> Outcome {
        self.close();
        Ok(())
    }

    /// Only plotters' own raster shapes would ask for pixels; the charts use none.
    fn draw_pixel(&mut self, _: BackendCoord, _: BackendColor) -> Outcome {
        Ok(())
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Outcome {
        self.within(Element::strokes(style));
        self.numbers([("M", from.0), (" ", from.1)]);
        match (to.0 == from.0, to.1 == from.1) {
            (true, _) => self.numbers([("V", to.1)]),
            (false, true) => self.numbers([("H", to.0)]),
            _ => self.numbers([("L", to.0), (" ", to.1)]),
        }
        Ok(())
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Outcome {
        self.within(Element::strokes(style));
        self.path(path);
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Outcome {
        self.within(Element::Fill(style.color().rgb));
        self.path(path);
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        (x, y): BackendCoord,
        radius: u32,
        style: &S,
        _: bool,
    ) -> Outcome {
        self.within(Element::strokes(style));
        let (r, across) = (radius as i32, 2 * radius as i32);
        self.numbers([("M", x - r), (" ", y)]);
        self.numbers([("a", r), (" ", r), (" 0 1 0 ", across), (" ", 0)]);
        self.numbers([("a", r), (" ", r), (" 0 1 0-", across), (" ", 0)]);
        self.out.push('z');
        Ok(())
    }

    fn draw_text<T: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &T,
        (x, y): BackendCoord,
    ) -> Outcome {
        let size = style.size() as i32;
        let bold = matches!(style.style(), FontStyle::Bold);
        let anchor = match style.anchor().h_pos {
            HPos::Left => "",
            HPos::Center => "middle",
            HPos::Right => "end",
        };
        self.within(Element::Texts(style.color().rgb, size, bold, anchor));
        // From the given edge of the line to its base line.
        let down = match style.anchor().v_pos {
            VPos::Top => size * 76 / 100,
            VPos::Center => size * 35 / 100,
            VPos::Bottom => -size * 24 / 100,
        };
        match style.transform() {
            FontTransform::None => {
                self.numbers([(r#"<text x=""#, x), (r#"" y=""#, y + down)]);
                self.out.push_str(r#"">"#);
            }
            // The only turn in use: text that reads from bottom to top.
            _ => {
                self.numbers([(r#"<text transform="translate("#, x + down), (" ", y)]);
                self.out.push_str(r#")rotate(-90)">"#);
            }
        }
        // Writing to a string cannot fail, and clean text is calm.
        let _ = escape_html(&mut *self.out, &clean(text));
        self.out.push_str("</text>");
        Ok(())
    }

    fn estimate_text_size<T: BackendTextStyle>(
        &self,
        text: &str,
        style: &T,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let size = style.size() as i32;
        Ok((width(text, size).unsigned_abs(), size.unsigned_abs()))
    }
}
