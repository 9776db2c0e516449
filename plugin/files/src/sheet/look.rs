//! What the sheet looks like: ink on paper, and the same by lamplight for a reader whose system is dark.

/// A colour as red, green and blue.
pub(super) type Colour = [u8; 3];

/// The sheet's colours. Each has one meaning, and nothing is told by it alone: shape, place or a word says the same.
pub(super) struct Colours {
    /// Behind everything.
    pub(super) ground: Colour,
    /// Behind the song strip.
    pub(super) raised: Colour,
    /// Lines of scales, and rules.
    pub(super) rule: Colour,
    /// Where the records lie.
    pub(super) wire: Colour,
    /// Notes, labels and scales.
    pub(super) note: Colour,
    /// Figures, headings, and the song.
    pub(super) ink: Colour,
    /// Mono, overs, and what does not hold.
    pub(super) accent: Colour,
    /// Outside the records.
    pub(super) outside: Colour,
}

/// By daylight.
pub(super) const PAPER: Colours = Colours {
    ground: [0xF4, 0xEE, 0xE0],
    raised: [0xEA, 0xE1, 0xCD],
    rule: [0xC4, 0xB9, 0xA2],
    wire: [0x93, 0x87, 0x6F],
    note: [0x5A, 0x55, 0x49],
    ink: [0x23, 0x2D, 0x35],
    accent: [0x96, 0x3E, 0x14],
    outside: [0x1F, 0x58, 0x78],
};

/// By lamplight.
pub(super) const LAMP: Colours = Colours {
    ground: [0x1C, 0x19, 0x17],
    raised: [0x27, 0x22, 0x1C],
    rule: [0x4A, 0x41, 0x36],
    wire: [0x84, 0x78, 0x64],
    note: [0xB2, 0xA6, 0x90],
    ink: [0xED, 0xE2, 0xCC],
    accent: [0xEE, 0x9B, 0x4A],
    outside: [0x8C, 0xC3, 0xDE],
};

/// On a printer's paper, which has its own ground.
pub(super) const PRINTED: Colours = Colours { ground: [0xFF; 3], raised: [0xF2, 0xF0, 0xEB], ..PAPER };

impl Colours {
    /// Every colour by its name in the style.
    fn named(&self) -> [(&'static str, Colour); 8] {
        [
            ("ground", self.ground),
            ("raised", self.raised),
            ("rule", self.rule),
            ("wire", self.wire),
            ("note", self.note),
            ("ink", self.ink),
            ("accent", self.accent),
            ("outside", self.outside),
        ]
    }

    fn variables(&self) -> String {
        let each = self.named().map(|(name, [r, g, b])| format!("--{name}:#{r:02x}{g:02x}{b:02x};"));
        each.concat()
    }
}

/// The rest of the style. Sizes are relative to the reader's own letters; a picture never gets narrower than it can be read.
const RULES: &str = "
*{box-sizing:border-box}
body{margin:0 auto;max-width:64rem;padding:1.5rem;background:var(--ground);color:var(--ink);
font:1rem/1.45 'DejaVu Sans',Verdana,sans-serif;font-variant-numeric:tabular-nums;overflow-wrap:anywhere}
header{border-bottom:2px solid var(--ink);margin-bottom:.6rem}
h1{font-size:1rem;color:var(--note);margin:0 0 .3rem}
h2{font-size:1.5rem;line-height:1.2;margin:.8rem 0 .2rem}article+article h2,section+article h2{margin-top:3rem;border-top:2px solid var(--ink);padding-top:.6rem}
h3{font-size:1rem;margin:1.2rem 0 .35rem;border-bottom:1px solid var(--rule);padding-bottom:.15rem}
small,.what,.note,caption,footer{color:var(--note);font-size:.85rem;font-weight:normal}
p{margin:.3rem 0}
.trouble,.broken strong,.mono{color:var(--accent)}
.trouble{border:2px solid var(--accent);padding:.4rem .6rem}
.outside{color:var(--outside);font-weight:bold}
ol.remarks{margin:.3rem 0;padding-left:1.6rem}
ol.remarks li{margin:.2rem 0;font-size:1.05rem}
ul.delivery{list-style:none;margin:.3rem 0;padding:0}
ul.delivery strong{display:inline-block;min-width:6rem}
.columns{columns:21rem 2;column-gap:2rem;margin-top:1.2rem}.columns section{break-inside:avoid;margin-bottom:1.2rem}.columns h3{margin-top:0}
table{border-collapse:collapse;width:100%}
caption{text-align:left;padding-bottom:.3rem}
th,td{text-align:right;padding:.12rem .3rem;font-weight:normal;vertical-align:baseline}
th[scope=row]{text-align:left;padding-left:0;color:var(--note)}
thead th{color:var(--note);font-size:.85rem;border-bottom:1px solid var(--rule)}
thead th:first-child{text-align:left;padding-left:0}td,thead th{white-space:nowrap}
a{color:inherit}
td.words,thead th.words{text-align:left;white-space:normal;width:40%;padding-left:.8rem}.told th{white-space:nowrap}.told td{white-space:normal}ul{margin:.3rem 0;padding-left:1.6rem}
.table{overflow-x:auto}.figure{font-weight:bold;white-space:nowrap}.records{white-space:nowrap}
.long tbody tr:nth-child(3n){border-bottom:1px solid var(--rule)}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.1rem 1rem;margin:.3rem 0}
dt{color:var(--note)}dd{margin:0}
.picture{overflow-x:auto}
svg{display:block;width:100%;min-width:40rem;height:auto}
svg text{font-size:12.5px;fill:var(--note)}svg .name,svg .ringed,svg .far,svg .drifted{paint-order:stroke;stroke:var(--ground);stroke-width:3.5px;stroke-linejoin:round}
svg .name{fill:var(--ink);font-weight:bold;stroke:var(--raised)}
.plot{fill:var(--raised)}.grid{stroke:var(--rule);stroke-width:.7}.zero{stroke:var(--note);stroke-width:1.2}
.song{fill:none;stroke:var(--ink);stroke-width:2.4;stroke-linejoin:round}
.fold{fill:none;stroke:var(--accent);stroke-width:1.5;stroke-linejoin:round}
.over{stroke:var(--accent);stroke-width:2.5}.pencil{stroke:var(--note);stroke-width:1;stroke-dasharray:2 4}
.between{stroke:var(--wire)}.moves{stroke:var(--wire);stroke-width:1.6}.knot,.of-wire{fill:var(--wire)}
.bead,.of-song{fill:var(--ink)}.square,.of-outside{fill:var(--outside)}.of-mono{fill:var(--accent)}
.stem{stroke:var(--accent);stroke-width:1.8}.ring{fill:var(--ground);stroke:var(--accent);stroke-width:2}
svg .drifted{fill:var(--outside)}.drift{fill:none;stroke:var(--outside);stroke-width:1.6}svg .ringed{fill:var(--accent)}svg .far{fill:var(--ink)}
footer{margin-top:2rem;border-top:1px solid var(--rule);padding-top:.5rem}
@media screen and (max-width:34rem){body{padding:1rem}.long,.long small{font-size:.8rem}.long td,.long th{padding:.12rem .15rem}svg{min-width:48rem}
.cards,.cards caption,.cards tbody{display:block;font-size:.85rem}.cards thead,.cards td:empty{display:none}
.cards tbody tr{display:flex;flex-wrap:wrap;gap:0 .9rem;padding:.35rem 0;border-bottom:1px solid var(--rule)}
.cards td,.cards th[scope=row]{padding:0;text-align:left}.cards th[scope=row]{color:var(--ink);font-weight:bold}.cards .words{width:100%;flex:1 0 100%}
.cards [data-of]::before{content:attr(data-of) ' ';color:var(--note);font-weight:normal}}
@page{margin:12mm}
@media print{html{font-size:8pt}body{max-width:none;padding:0}.long td,.long th{padding-top:0;padding-bottom:0;line-height:1.2}h3{margin:.9rem 0 .25rem}.columns,.columns section{margin:0 0 .7rem}footer{margin-top:.5rem;line-height:1.3}svg{min-width:0}.picture,.table{overflow:visible}h2{font-size:1.3rem}
section,tr,li,figure,footer{break-inside:avoid}h2,h3{break-after:avoid}article+article,section+article{break-before:page}
.columns{columns:2}}
";

/// The whole style sheet. A printer's page is by daylight, whatever the reader's system is.
pub(super) fn style() -> String {
    format!(
        ":root{{{}}}@media screen and (prefers-color-scheme:dark){{:root{{{}}}}}@media print{{:root{{{}}}}}{RULES}",
        PAPER.variables(),
        LAMP.variables(),
        PRINTED.variables()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast ratio: W3C WCAG 2.2 (December 2024), definitions.
    fn luminance(colour: Colour) -> f64 {
        let [r, g, b] = colour.map(|channel| {
            let share = f64::from(channel) / 255.0;
            if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        });
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    fn ratio(one: Colour, other: Colour) -> f64 {
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    /// Text 4.5 (success criterion 1.4.3, level AA), marks of a picture 3 (1.4.11).
    #[test]
    fn text_and_marks_stand_out_in_every_light() {
        assert!((ratio([0; 3], [255; 3]) - 21.0).abs() < 1e-9);
        for (light, colours) in [("paper", PAPER), ("lamp", LAMP), ("printed", PRINTED)] {
            for ground in [colours.ground, colours.raised] {
                for (name, text) in colours.named() {
                    let least = match name {
                        "ground" | "raised" | "rule" => continue,
                        "wire" => 2.5,
                        _ => 4.5,
                    };
                    let ratio = ratio(text, ground);
                    assert!(ratio >= least, "{light}: {name} on {ground:?}: {ratio:.2}");
                }
            }
            assert!(ratio(colours.wire, colours.ground) >= 3.0, "{light}: the wires");
        }
    }
}
