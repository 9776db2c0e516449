//! What a reader of screens is told, and what a pointer that rests is: every figure and every picture in a sentence.

use candlemark_editor::Look;
use egui::accesskit::{Action, Role};
use egui::{Event, Pos2};

use crate::open::{Open, open};
use crate::{SEEN, SMALLEST, views};

/// Names of the labels and pictures. None of them takes a click or the focus.
fn labels(open: &mut Open) -> Vec<String> {
    let tree = open.tree();
    let labels = tree.nodes.iter().filter(|(_, node)| matches!(node.role(), Role::Label | Role::Image));
    labels
        .filter_map(|(_, node)| {
            let name = node.label().or(node.value())?.to_owned();
            let strip = name.starts_with("The song: ");
            assert!(strip || !node.supports_action(Action::Click), "“{name}” takes clicks");
            assert!(strip || !node.supports_action(Action::Focus), "“{name}” takes the focus");
            Some(name)
        })
        .collect()
}

#[track_caller]
fn hold(open: &mut Open, wanted: &[&str]) {
    let labels = labels(open);
    for wanted in wanted {
        assert!(labels.iter().any(|label| label == wanted), "“{wanted}” is not among {labels:#?}");
    }
}

#[test]
fn every_figure_has_a_sentence() {
    let mut open = open();
    hold(
        &mut open,
        &[
            "short-term: −18.2 LUFS",
            "this pass: −19.4 LUFS",
            "song: −19.6 LUFS",
            "range: 5.1 LU, the records’ 6.0 to 9.0: outside",
            "loud parts: 9.4 dB, the records’ 8.1 to 11.0",
            "whole song: 15.3 dB, the records’ 11.9 to 14.4: outside",
            "crest factor: 12.7 dB, the records’ 11.1 to 14.0",
            "true peak: −4.3 dBTP",
            "fold, song: −2.9 dB, the records’ −1.7 to −0.9: below theirs",
            "fold, 3 s: −2.4 dB",
            "correlation, 3 s: +0.41",
            "Hinge: correlation +0.41 over 3 s",
            "Candle: 51 minutes of two hours left, rest in 21",
            "Balance: 6 of 31 bands outside the records",
            "The song: 2:10 of 3:40 heard",
        ],
    );
    open.view = views::faults();
    open.controls = views::busy_controls();
    hold(
        &mut open,
        &[
            "true peak: 1.3 dBTP, 14 overs",
            "fold, song: lost in mono, the records’ −1.7 to −0.9: below theirs",
        ],
    );
    assert!(labels(&mut open).iter().any(|label| label.starts_with("You hear mono from the right speaker")));
    open.view = views::just_opened();
    hold(&mut open, &["song: nothing yet", "Hinge: no correlation", "Candle: 120 minutes of two hours left"]);
}

#[test]
fn the_line_of_figures_and_the_far_view_have_them_as_well() {
    let mut open = open();
    open.size = SMALLEST;
    let line = ["short-term: −18.2 LUFS", "loud parts: 9.4 dB, the records’ 8.1 to 11.0"];
    hold(&mut open, &line);
    open.look.far = true;
    hold(&mut open, &line);
    let from_afar = labels(&mut open);
    assert!(
        from_afar.iter().any(|label| label.starts_with("upper mids: +3 dB, outside the records")),
        "{from_afar:?}"
    );
    assert!(
        from_afar.iter().any(|label| label.starts_with("lows: ") && label.contains("inside the records"))
    );
    hold(&mut open, &["Candle: 51 minutes of two hours left, rest in 21", "Nothing urgent."]);
}

#[test]
fn what_dims_says_why_in_its_name() {
    let mut open = open();
    open.view = views::spent();
    hold(
        &mut open,
        &[
            "The two hours are up. This is a good place to stop for today. A key or a click lights the picture for five minutes.",
            "Candle: the two hours are spent",
        ],
    );
}

/// Texts over which the pointer has rested for two seconds.
fn rested_on(open: &mut Open, at: Pos2) -> Vec<String> {
    open.frame(vec![Event::PointerMoved(at)]);
    for _ in 0..20 {
        open.frame(Vec::new());
    }
    open.texts()
}

#[test]
fn figures_whose_names_are_words_say_what_they_are() {
    for (name, what) in [
        ("loud parts", "the median over the loudest 30 s"),
        ("whole song", "PLR, in dB"),
        ("crest factor", "highest sample over its mean level"),
        ("fold, song", "in mono, in dB"),
        ("range", "Loudness range of the song, in LU"),
        ("correlation, 3 s", "+1 the same, 0 unrelated, −1 opposite"),
    ] {
        let mut open = open();
        let at = open.find(name).expect("it is written");
        let said = rested_on(&mut open, at);
        let hint = said.iter().find(|text| text.contains(what));
        let hint = hint.unwrap_or_else(|| panic!("“{what}” is not said over “{name}”: {said:?}"));
        let has_records = !name.contains("3 s");
        assert_eq!(hint.contains("from the lowest to the highest of the records"), has_records, "{hint}");
    }
}

#[test]
fn remarks_that_do_not_fit_leave_a_sign_that_lists_them() {
    let mut open = open();
    (open.view, open.size) = (views::remarks(), SMALLEST);
    let all: Vec<String> = open.view.remarks.iter().map(|remark| remark.text.clone()).collect();
    assert_eq!(all.len(), 3, "as planted");
    let at = open.find("+2 more").expect("it is written");
    assert!(open.find("1").is_some() && open.find("2").is_none());
    assert!(labels(&mut open).contains(&format!("+2 more: {} {}", all[1], all[2])));
    let said = rested_on(&mut open, at);
    assert!(said.contains(&format!("{}\n{}", all[1], all[2])), "{said:?}");
    open.size = crate::DESIGNED;
    assert_eq!(open.find("+2 more"), None, "all fit");
}

/// What wakes the dimmed picture reaches nothing that lies under it.
#[test]
fn a_click_or_a_key_that_wakes_does_only_that() {
    for (far, words) in
        [(false, "Aside"), (false, "Hear mono"), (false, "Far view"), (false, "Settings"), (true, "mids")]
    {
        let mut open = open();
        (open.view, open.look) = (views::spent(), Look { far, ..SEEN });
        open.frame(Vec::new());
        assert_eq!(open.click(words), [], "“{words}” only wakes");
        assert_eq!(open.find("palette"), None);
        let again = open.click(words);
        assert_eq!(again.is_empty(), words == "Settings", "“{words}” when it is lit: {again:?}");
    }
    let mut open = open();
    let at = open.find("1:00").expect("it is named") - egui::vec2(0.0, 40.0);
    open.view = views::spent();
    open.click_at(at);
    assert_eq!(open.ctx.memory(egui::Memory::focused), None, "the strip has not been clicked");

    open.view = views::working();
    while open.find("Aside").is_some() && open.key(egui::Key::Tab).is_empty() {
        open.frame(Vec::new());
        let focused = open.ctx.memory(egui::Memory::focused).and_then(|id| open.ctx.read_response(id));
        let aside = open.find("Aside").expect("it is written");
        if focused.is_some_and(|response| response.rect.contains(aside)) {
            break;
        }
    }
    let focus = open.ctx.memory(egui::Memory::focused);
    open.view = views::spent();
    open.now_s += 1000.0;
    open.frame(Vec::new());
    assert_eq!(open.key(egui::Key::Enter), [], "it only wakes");
    assert_eq!(open.key(egui::Key::Enter), [candlemark_editor::Wish::TellAside(true)], "and then operates");
    open.now_s += 1000.0;
    open.frame(Vec::new());
    open.key(egui::Key::Tab);
    assert_eq!(open.ctx.memory(egui::Memory::focused), focus, "Tab takes no step");
}
