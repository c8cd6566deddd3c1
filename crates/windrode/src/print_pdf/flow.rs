//! Words and drawings down a page, and on to the next when it is full.

use pdf_writer::Content;

use super::{ink, size_of};
use crate::drawing::scene::Scene;
use crate::helvetica::{self, Weight};

/// A4, ISO 216: 210 mm by 297 mm.
pub(super) const PAGE_WIDE: f64 = 595.28;
pub(super) const PAGE_HIGH: f64 = 841.89;
/// Air round the page: 8 mm, more than the 5 mm that usual printers cannot reach.
const MARGIN: f64 = 22.7;
/// Room for the note at the foot.
const FOOT: f64 = 10.0;
/// From line to line, in sizes of the letters.
const LEADING: f64 = 1.24;

/// One line of pieces side by side.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pieces: Vec<(f64, String, f64, Weight)>,
    high: f64,
}

impl Row {
    /// Nothing, so high.
    pub(super) const fn space(high: f64) -> Self {
        Self { pieces: Vec::new(), high }
    }
    /// One piece from the left.
    pub(super) fn words(text: &str, size: f64, weight: Weight) -> Self {
        Self { pieces: vec![(0.0, text.to_owned(), size, weight)], high: size * LEADING }
    }
    /// A lead, and words from a place on.
    pub(super) fn hung(lead: &str, indent: f64, text: &str, size: f64) -> Self {
        let mut row = Self::words(text, size, Weight::Regular);
        if let Some(piece) = row.pieces.first_mut() {
            piece.0 = indent;
        }
        row.add(0.0, lead, size, Weight::Regular);
        row
    }
    /// One more piece.
    pub(super) fn add(&mut self, left: f64, text: &str, size: f64, weight: Weight) {
        self.pieces.push((left, text.to_owned(), size, weight));
    }
}

/// Air below the last words turns no page.
fn without_last_air(mut rows: Vec<Row>) -> Vec<Row> {
    while rows.last().is_some_and(|row| row.pieces.is_empty()) {
        rows.pop();
    }
    rows
}

/// Pages being filled.
pub(super) struct Flow {
    done: Vec<Content>,
    page: Content,
    y: f64,
    by_number: bool,
}

impl Flow {
    /// An empty first page.
    pub(super) fn new() -> Self {
        Self { done: Vec::new(), page: Content::new(), y: MARGIN, by_number: false }
    }
    /// Whether no page has been turned.
    pub(super) const fn is_one_page(&self) -> bool {
        self.done.is_empty()
    }
    /// Width that may be written on.
    #[expect(clippy::unused_self, reason = "a flow has a width, though all have the same")]
    pub(super) fn width(&self) -> f64 {
        PAGE_WIDE - 2.0 * MARGIN
    }
    /// Air.
    pub(super) fn gap(&mut self, high: f64) {
        self.y += high;
    }
    /// Words across the page.
    pub(super) fn words(&mut self, text: &str, size: f64, weight: Weight) {
        for line in helvetica::wrapped(text, size, weight, self.width()) {
            self.row(&Row::words(&line, size, weight));
        }
    }
    /// A bold lead and words beside it.
    pub(super) fn hung(&mut self, lead: &str, indent: f64, text: &str, size: f64) {
        for (at, line) in
            helvetica::wrapped(text, size, Weight::Regular, self.width() - indent).iter().enumerate()
        {
            let mut row = Row::hung("", indent, line, size);
            if at == 0 {
                row.add(0.0, lead, size, Weight::Bold);
            }
            self.row(&row);
        }
    }
    /// A drawing across the page, in its middle.
    pub(super) fn scene(&mut self, scene: &Scene, scale: f64) {
        let (wide, high) = size_of(scene, scale);
        self.room(high);
        let left = MARGIN + (self.width() - wide) / 2.0;
        self.by_number |= ink::scene(&mut self.page, scene, left, self.y, scale);
        self.y += high;
    }
    /// Two drawings side by side.
    pub(super) fn beside(&mut self, left: &Scene, right: &Scene, scale: f64) {
        let ((wide, high), (right_wide, right_high)) = (size_of(left, scale), size_of(right, scale));
        let high = high.max(right_high);
        self.room(high);
        let air = (self.width() - wide - right_wide) / 3.0;
        self.by_number |= ink::scene(&mut self.page, left, MARGIN + air, self.y, scale);
        self.by_number |= ink::scene(&mut self.page, right, MARGIN + 2.0 * air + wide, self.y, scale);
        self.y += high;
    }
    /// Two columns from here on, both going over to the next page where they must.
    pub(super) fn columns(&mut self, left: Vec<Row>, right: Vec<Row>, right_at: f64) {
        let [left, right] = [left, right].map(without_last_air);
        let mut columns = [(0.0, left.into_iter().peekable()), (right_at, right.into_iter().peekable())];
        loop {
            let top = self.y;
            let mut lowest = top;
            for (at, rows) in &mut columns {
                self.y = top;
                while let Some(row) = rows.next_if(|row| self.fits(row.high) || self.y <= MARGIN) {
                    self.put(&row, *at);
                }
                lowest = lowest.max(self.y);
            }
            self.y = lowest;
            if columns.iter_mut().all(|(_, rows)| rows.peek().is_none()) {
                return;
            }
            self.turn();
        }
    }
    /// The pages, the last with a note where letters had to be told by number.
    pub(super) fn pages(mut self) -> Vec<Content> {
        if self.by_number {
            let note = "[U+…]: letters that this print cannot draw, by their Unicode numbers.";
            ink::letters(&mut self.page, note, MARGIN, PAGE_HIGH - MARGIN, 6.5, Weight::Regular);
        }
        self.done.push(self.page);
        self.done
    }

    fn fits(&self, high: f64) -> bool {
        self.y + high <= PAGE_HIGH - MARGIN - FOOT
    }
    /// Turns the page unless there is so much room on it.
    fn room(&mut self, high: f64) {
        if !self.fits(high) && MARGIN < self.y {
            self.turn();
        }
    }
    fn turn(&mut self) {
        self.done.push(std::mem::replace(&mut self.page, Content::new()));
        self.y = MARGIN;
    }
    fn row(&mut self, row: &Row) {
        self.room(row.high);
        self.put(row, 0.0);
    }
    fn put(&mut self, row: &Row, at: f64) {
        for (left, text, size, weight) in &row.pieces {
            let base = self.y + row.high - size * (LEADING - 0.96);
            self.by_number |= ink::letters(&mut self.page, text, MARGIN + at + left, base, *size, *weight);
        }
        self.y += row.high;
    }
}
