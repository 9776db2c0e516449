//! The print sheet as a browser reads it.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use candlemark_tests::command::Home;
use candlemark_tests::paths;
use candlemark_tests::sound::Sound;
use scraper::{ElementRef, Html, Selector};

use crate::files::{RATE, bytes, noise, take, wav};

pub(crate) fn parsed(path: &Path) -> Html {
    let page = fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let html = Html::parse_document(&page);
    assert!(html.errors.is_empty(), "{:?}", html.errors);
    html
}

pub(crate) fn all<'a>(html: &'a Html, selector: &str) -> Vec<ElementRef<'a>> {
    html.select(&Selector::parse(selector).expect("a selector of this test")).collect()
}

fn text(element: ElementRef<'_>) -> String {
    element.text().collect()
}

pub(crate) fn texts(html: &Html, selector: &str) -> Vec<String> {
    all(html, selector).into_iter().map(text).collect()
}

/// What holds of every sheet: nothing is fetched, nothing runs, headings follow each other, pictures are named.
#[track_caller]
pub(crate) fn hold(html: &Html) {
    let outside = "script, link, img, iframe, object, embed, video, audio, form, base, use, image";
    assert!(all(html, outside).is_empty(), "{:?}", texts(html, outside));
    for element in all(html, "*") {
        for (name, value) in element.value().attrs() {
            assert!(!name.starts_with("on"), "{name} runs something");
            assert!(name != "src" && name != "srcset", "{name}: {value}");
            assert!(name != "href" || value.starts_with('#'), "{value}");
        }
    }
    let style = texts(html, "style").concat();
    assert!(!style.contains("url(") && !style.contains("@import"), "the style fetches something");
    assert_eq!(all(html, "html[lang=en]").len(), 1);
    assert_eq!(all(html, "head > title").len(), 1);
    let levels: Vec<u8> = all(html, "h1, h2, h3, h4, h5, h6")
        .iter()
        .map(|heading| heading.value().name().as_bytes()[1] - b'0')
        .collect();
    assert_eq!(levels.first(), Some(&1));
    assert_eq!(levels.iter().map(|level| usize::from(*level == 1)).sum::<usize>(), 1, "{levels:?}");
    assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "a level is left out: {levels:?}");
    let ids: Vec<&str> = all(html, "[id]").iter().filter_map(|element| element.value().id()).collect();
    assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "{ids:?}");
    for svg in all(html, "svg") {
        assert_eq!(svg.value().attr("role"), Some("img"));
        let named = svg.value().attr("aria-labelledby").expect("a picture is named");
        for id in named.split(' ') {
            let name = all(html, &format!("svg #{id}"));
            assert!(name.len() == 1 && !text(name[0]).is_empty(), "{id}");
        }
        assert_eq!(svg.select(&Selector::parse("title, desc").unwrap()).count(), 2);
    }
    for link in all(html, "a[href]") {
        assert_eq!(all(html, link.value().attr("href").unwrap()).len(), 1, "a link leads nowhere");
    }
}

#[test]
fn the_sheet_says_what_the_page_says() {
    let home = Home::new();
    let path = wav(home.folder(), "Low Water.wav", &noise(70.0));
    let path = path.to_str().unwrap();
    take(&home, "mine", [path]);
    let sheet = home.folder().join("sheet.html");
    let to = sheet.to_str().unwrap();
    _ = home.run(["measure", path, "--yardstick", "mine", "--delivery", "ebu-r128", "--sheet", to]).well();
    let html = parsed(&sheet);
    hold(&html);
    assert_eq!(texts(&html, "h2"), ["Low Water.wav"]);
    assert_eq!(all(&html, "svg").len(), 2);
    let object = home.measure([path]).remove(0);
    let one_decimal = |key: &str| format!("{:.1}", object[key].as_f64().unwrap()).replace('-', "−");
    let figures = texts(&html, "td.figure");
    assert!(figures.contains(&format!("{} LUFS", one_decimal("integrated_lufs"))), "{figures:?}");
    assert!(figures.contains(&format!("{} LU", one_decimal("range_lu"))), "{figures:?}");
    // Its own record has the same figures.
    let rows = texts(&html, "tr");
    for (name, key) in
        [("loud parts (PSR)", "psr_loud_db"), ("whole (PLR)", "plr_db"), ("crest factor", "crest_db")]
    {
        let is = one_decimal(key);
        assert!(rows.contains(&format!("{name}{is} dB{is} to {is}")), "{name}: {rows:?}");
    }
    assert_eq!(all(&html, ".long tbody tr").len(), object["bands"].as_array().unwrap().len());
    assert_eq!(all(&html, "ul.delivery li").len(), 2);
    assert_eq!(texts(&html, "ul.delivery strong"), ["not held", "held"]);
    let whole = texts(&html, "body").concat();
    for told in ["“mine”", "SHA-256", "BS.1770-5", env!("CARGO_PKG_VERSION"), "Elsewhere", "silence before"]
    {
        assert!(whole.contains(told), "{told}");
    }
}

/// Python's hashlib says the same of the same file.
#[test]
fn the_fingerprint_is_the_files() {
    let home = Home::new();
    let path = wav(home.folder(), "a.wav", &noise(5.0));
    let sheet = home.folder().join("sheet.html");
    home.run([Path::new("measure"), &path, Path::new("--sheet"), &sheet]);
    let script = "import hashlib, sys; print(hashlib.sha256(open(sys.argv[1], 'rb').read()).hexdigest())";
    let output = Command::new(paths::python()).args(["-c", script]).arg(&path).output().unwrap();
    let digest = String::from_utf8(output.stdout).unwrap();
    assert!(texts(&parsed(&sheet), "dd").contains(&digest.trim().to_owned()), "{digest}");
}

#[cfg(unix)]
#[test]
fn whatever_a_file_is_called_is_a_name_and_nothing_else() {
    let home = Home::new();
    let name = "<b onload=x>\"o'clock\" & <script>alert(1)<!-- 🎛 .wav";
    let name = name.replace('/', "");
    let path = wav(home.folder(), &name, &noise(5.0));
    let sheet = home.folder().join("a sheet, \"quoted\" 🎛.html");
    _ = home.run([Path::new("measure"), &path, Path::new("--sheet"), &sheet]).well();
    let html = parsed(&sheet);
    hold(&html);
    assert_eq!(texts(&html, "h2"), [name.as_str()]);
    assert!(all(&html, "b").is_empty());
    assert_eq!(texts(&html, "title")[0], format!("Print sheet: {name}"));
}

#[test]
fn of_sounds_without_much_to_show_there_is_a_sheet_all_the_same() {
    let home = Home::new();
    let silence = vec![0.0; 5 * RATE as usize];
    let mut faulty = noise(5.0);
    faulty.left[1000] = f32::NAN;
    let left = noise(15.0).left;
    let opposite = left.iter().map(|x| -x).collect();
    for (name, sound) in [
        ("silence", Sound::in_both(RATE, silence)),
        ("one sample", Sound::stereo(RATE, vec![0.5], vec![0.5])),
        ("mono", Sound { right: Vec::new(), ..noise(5.0) }),
        ("opposite", Sound::stereo(RATE, left, opposite)),
        ("faulty", faulty),
        ("loud", Sound::stereo(RATE, vec![1.5; 48_000], vec![1.5; 48_000])),
    ] {
        let path = wav(home.folder(), &format!("{name}.wav"), &sound);
        let sheet = home.folder().join(format!("{name}.html"));
        let run = home.run([Path::new("measure"), &path, Path::new("--sheet"), &sheet]);
        let html = parsed(&sheet);
        hold(&html);
        assert_eq!(texts(&html, ".trouble").len(), run.told.lines().count(), "{name}: {}", run.told);
        let page = fs::read_to_string(&sheet).unwrap();
        assert!(!page.contains("NaN") && !page.contains("inf "), "{name}");
    }
}

#[test]
fn several_files_are_on_one_sheet_and_one_that_can_not_be_read_hides_none() {
    let home = Home::new();
    let [one, other] = ["one", "other"].map(|folder| {
        let folder = home.folder().join(folder);
        fs::create_dir(&folder).unwrap();
        wav(&folder, "song.wav", &noise(6.0))
    });
    let broken = bytes(home.folder(), "broken.wav", b"RIFF");
    let sheet = home.folder().join("sheet.html");
    let run = home.run([Path::new("measure"), &one, &broken, &other, Path::new("--sheet"), &sheet]);
    assert_eq!(run.status, Some(2));
    let html = parsed(&sheet);
    hold(&html);
    let names = ["one/song.wav", "broken.wav", "other/song.wav"];
    assert_eq!(texts(&html, "article h2"), names, "told apart");
    assert_eq!(texts(&html, "tbody th a"), names, "in the table at the head too");
    assert_eq!(all(&html, "svg").len(), 4);
    assert_eq!(texts(&html, ".trouble").len(), 1);
}
