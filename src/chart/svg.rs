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

use super::pen::class;
use super::text::{clean, width};
use super::thin::thinned;
use crate::ground::calm::escape_html;

type Outcome = Result<(), DrawingErrorKind<Infallible>>;

/// Size of ordinary text, 7.1 points; other sizes are said at their group.
pub(super) const TEXT: i32 = 250;
/// Behind a label: the paper's colour where no style sheet says better.
const RIM: &str =
    r##" stroke="#fff" stroke-width="60" stroke-linejoin="round" paint-order="stroke""##;

/// Writes the inside of an SVG element.
pub(super) struct Svg<'a> {
    out: &'a mut String,
    size: (u32, u32),
    /// The start of the element that is open, and what closes it.
    head: String,
    tail: &'static str,
    /// The style of the strokes that are open.
    stroke: Option<((u8, u8, u8), f64, u32)>,
}

impl<'a> Svg<'a> {
    pub(super) fn new(out: &'a mut String, size: (u32, u32)) -> Self {
        Self {
            out,
            size,
            head: String::new(),
            tail: "",
            stroke: None,
        }
    }

    /// Goes on in the element that is open if it starts alike, else opens another.
    fn within(&mut self, head: String, tail: &'static str) {
        if self.head != head {
            self.close();
            self.out.push_str(&head);
            (self.head, self.tail) = (head, tail);
        }
        self.stroke = None;
    }

    fn close(&mut self) {
        self.out.push_str(self.tail);
        (self.head, self.tail) = (String::new(), "");
        self.stroke = None;
    }

    fn stroke(&mut self, style: &impl BackendStyle) {
        let colour = style.color();
        let stroke = Some((colour.rgb, colour.alpha, style.stroke_width()));
        if self.stroke == stroke {
            return;
        }
        let (class, dash) = class(colour);
        let mut head = format!(
            r#"<path class="{class}" fill="none" stroke="currentColor" stroke-width="{}""#,
            style.stroke_width()
        );
        if colour.alpha < 1.0 {
            let _ = write!(head, r#" stroke-opacity="{}""#, colour.alpha);
        }
        if dash.is_empty() {
            head.push_str(r#" stroke-linecap="round""#);
        } else {
            let _ = write!(head, r#" stroke-dasharray="{dash}""#);
        }
        head.push_str(r#" stroke-linejoin="round" d=""#);
        self.within(head, r#""/>"#);
        self.stroke = stroke;
    }

    /// Path data through the points, in steps from one to the next.
    fn path(&mut self, points: impl IntoIterator<Item = BackendCoord>) {
        let points = thinned(points);
        let Some((first, rest)) = points.split_first() else {
            return;
        };
        let _ = write!(self.out, "M{} {}", first.0, first.1);
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
        let _ = write!(self.out, "{lead}{dx}{gap}{dy}");
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
        self.stroke(style);
        let _ = write!(self.out, "M{} {}", from.0, from.1);
        let _ = match (to.0 == from.0, to.1 == from.1) {
            (true, _) => write!(self.out, "V{}", to.1),
            (false, true) => write!(self.out, "H{}", to.0),
            _ => write!(self.out, "L{} {}", to.0, to.1),
        };
        Ok(())
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Outcome {
        self.stroke(style);
        self.path(path);
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Outcome {
        let (class, _) = class(style.color());
        let head = format!(
            r#"<path class="{class}" fill="currentColor" fill-opacity=".22" stroke="none" d=""#
        );
        self.within(head, r#""/>"#);
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
        self.stroke(style);
        let (left, r, across) = (x - radius as i32, radius, 2 * radius);
        let _ = write!(
            self.out,
            "M{left} {y}a{r} {r} 0 1 0 {across} 0a{r} {r} 0 1 0-{across} 0z"
        );
        Ok(())
    }

    fn draw_text<T: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &T,
        (x, y): BackendCoord,
    ) -> Outcome {
        let (class, _) = class(style.color());
        let size = style.size() as i32;
        let mut head = String::from("<g");
        if !class.is_empty() {
            let _ = write!(head, r#" class="{class}""#);
        }
        if class.starts_with("label") {
            head.push_str(RIM);
        }
        if size != TEXT {
            let _ = write!(head, r#" font-size="{size}""#);
        }
        if matches!(style.style(), FontStyle::Bold) {
            head.push_str(r#" font-weight="600""#);
        }
        head.push_str(match style.anchor().h_pos {
            HPos::Left => ">",
            HPos::Center => r#" text-anchor="middle">"#,
            HPos::Right => r#" text-anchor="end">"#,
        });
        self.within(head, "</g>");
        // From the given edge of the line to its base line.
        let down = match style.anchor().v_pos {
            VPos::Top => size * 76 / 100,
            VPos::Center => size * 35 / 100,
            VPos::Bottom => -size * 24 / 100,
        };
        let _ = match style.transform() {
            FontTransform::None => write!(self.out, r#"<text x="{x}" y="{}">"#, y + down),
            // The only turn in use: text that reads from bottom to top.
            _ => write!(
                self.out,
                r#"<text transform="translate({} {y})rotate(-90)">"#,
                x + down
            ),
        };
        let _ = write!(self.out, "{}</text>", escape_html(&clean(text)));
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
