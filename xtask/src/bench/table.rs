//! The table that the benchmark ends with.

use std::fmt;

/// One figure beside its peer.
pub(super) struct Row {
    figure: String,
    ours: f64,
    peer_name: String,
    peer: f64,
    unit: String,
    ratio: f64,
    goal: Option<f64>,
}

impl Row {
    /// `goal` is the most that the ratio of ours to the peer may be; none where the peer is there for comparison alone.
    pub(super) fn new(
        figure: &str,
        ours: f64,
        peer_name: &str,
        peer: f64,
        unit: &str,
        goal: Option<f64>,
    ) -> Self {
        let [figure, peer_name, unit] = [figure, peer_name, unit].map(str::to_owned);
        Self { figure, ours, peer_name, peer, unit, ratio: ours / peer, goal }
    }

    /// With a ratio that is known better than by dividing the two.
    pub(super) fn with_ratio(self, ratio: f64) -> Self {
        Self { ratio, ..self }
    }

    fn held(&self) -> &'static str {
        match self.goal {
            None => "",
            Some(goal) if self.ratio <= goal => "held",
            Some(_) => "NOT HELD",
        }
    }

    fn cells(&self) -> [String; 6] {
        [
            self.figure.clone(),
            format!("{} {}", figure(self.ours), self.unit),
            format!("{} ({})", figure(self.peer), self.peer_name),
            format!("{:.3}", self.ratio),
            self.goal.map_or_else(String::new, |goal| goal.to_string()),
            self.held().to_owned(),
        ]
    }
}

/// A number as a person reads it: three digits, or all before the point.
fn figure(number: f64) -> String {
    match number.abs() {
        size if size >= 100.0 => format!("{number:.0}"),
        size if size >= 10.0 => format!("{number:.1}"),
        size if size >= 1.0 => format!("{number:.2}"),
        size if size >= 0.001 || size == 0.0 => format!("{number:.3}"),
        _ => format!("{number:.1e}"),
    }
}

/// All rows.
#[derive(Default)]
pub(super) struct Table(Vec<Row>);

impl Table {
    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    pub(super) fn add(&mut self, row: Row) {
        self.0.push(row);
    }
}

impl fmt::Display for Table {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let head = ["figure", "ours", "beside", "ratio", "goal", ""].map(str::to_owned);
        let lines: Vec<[String; 6]> = std::iter::once(head).chain(self.0.iter().map(Row::cells)).collect();
        let widths: [usize; 6] = std::array::from_fn(|column| {
            lines.iter().map(|line| line[column].chars().count()).max().unwrap_or(0)
        });
        for line in &lines {
            let cells = line.iter().zip(widths).map(|(cell, width)| format!("{cell:width$}"));
            writeln!(f, "{}", cells.collect::<Vec<_>>().join("  ").trim_end())?;
        }
        let missed = self.0.iter().filter(|row| row.held() == "NOT HELD").count();
        let goals = self.0.iter().filter(|row| row.goal.is_some()).count();
        write!(f, "{} of {goals} goals held", goals - missed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_goal_is_held_up_to_its_limit() {
        let row = |ours, goal| Row::new("figure", ours, "peer", 100.0, "ns", goal);
        assert_eq!(row(50.0, Some(0.5)).held(), "held");
        assert_eq!(row(50.1, Some(0.5)).held(), "NOT HELD");
        assert_eq!(row(500.0, None).held(), "");
        assert_eq!(row(500.0, Some(0.5)).with_ratio(0.4).held(), "held");
        // What could not be measured is not held.
        assert_eq!(row(f64::NAN, Some(0.5)).held(), "NOT HELD");
    }

    #[test]
    fn the_columns_stand_under_each_other() {
        let mut table = Table::default();
        table.add(Row::new("a long name of a figure", 17.25, "peer", 57.0, "ns", Some(0.5)));
        table.add(Row::new("short", 1234.0, "peer", 1000.0, "ns", Some(1.0)));
        let text = table.to_string();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[0].find("ours"), lines[1].find("17.2 ns"));
        assert_eq!(lines[1].find("held"), lines[2].find("NOT HELD"));
        assert_eq!(lines[3], "1 of 2 goals held");
    }
}
