//! What a yardstick may be called: what every file system lets a file be called.

use thiserror::Error;

use crate::error::FileError;

/// What is wrong with a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum NameFault {
    /// It is empty, or nothing but spaces.
    #[error("it is empty; give it a name")]
    Empty,
    /// It is too long.
    #[error("it is longer than {} bytes; choose a shorter one", MOST_BYTES)]
    TooLong,
    /// It holds a character that stands for a part of a path somewhere.
    #[error("the character {0:?} can't be in a file's name everywhere; leave it out")]
    PathCharacter(char),
    /// It holds a control character, such as a line break.
    #[error("there is a control character in it; leave it out")]
    Control,
    /// It begins with a full stop, or begins or ends with something that some systems drop.
    #[error("it begins with a full stop or a space, or ends with one; leave that out")]
    Edge,
    /// Windows keeps this name for a device.
    #[error("Windows keeps this name for a device; choose another")]
    Reserved,
}

/// Longest name in bytes of UTF-8. File systems allow 255; the ending and a little room are needed.
const MOST_BYTES: usize = 200;

/// Characters that stand for a part of a path somewhere.
pub(crate) const PATH_CHARACTERS: &str = r#"/\:*?"<>|"#;

/// Names that Windows keeps for devices, with or without something after a full stop.
const RESERVED: [&str; 6] = ["CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"];
/// The same, with a digit after them.
const RESERVED_NUMBERED: [&str; 2] = ["COM", "LPT"];

/// Checks that a yardstick can be called `name`. Letters of any script, spaces and most signs are fine.
///
/// # Errors
///
/// [`FileError::BadName`] says what is wrong with it.
pub(crate) fn check_name(name: &str) -> Result<(), FileError> {
    fault_of(name).map_or(Ok(()), |fault| Err(FileError::BadName { name: shortened(name), fault }))
}

/// Two names that some file system takes for the same.
pub(crate) fn is_same_name(one: &str, other: &str) -> bool {
    one == other || one.to_lowercase() == other.to_lowercase()
}

pub(crate) fn fault_of(name: &str) -> Option<NameFault> {
    if name.trim().is_empty() {
        return Some(NameFault::Empty);
    }
    if name.len() > MOST_BYTES {
        return Some(NameFault::TooLong);
    }
    if let Some(found) = name.chars().find(|c| PATH_CHARACTERS.contains(*c)) {
        return Some(NameFault::PathCharacter(found));
    }
    if name.chars().any(char::is_control) {
        return Some(NameFault::Control);
    }
    let drops = |c: char| c == '.' || c.is_whitespace();
    if name.starts_with(drops) || name.ends_with(drops) {
        return Some(NameFault::Edge);
    }
    is_reserved(name).then_some(NameFault::Reserved)
}

fn is_reserved(name: &str) -> bool {
    let base = name.split('.').next().unwrap_or(name).trim_end().to_uppercase();
    let is_numbered = |reserved: &&str| {
        base.strip_prefix(*reserved).is_some_and(|rest| {
            let mut rest = rest.chars();
            matches!((rest.next(), rest.next()), (Some('0'..='9' | '¹' | '²' | '³'), None))
        })
    };
    RESERVED.contains(&base.as_str()) || RESERVED_NUMBERED.iter().any(is_numbered)
}

/// A name for a message.
fn shortened(name: &str) -> String {
    match name.char_indices().nth(60) {
        Some((at, _)) => format!("{}…", &name[..at]),
        None => name.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_person_would_write_is_a_name() {
        for name in
            ["folk", "Warm Folk 2024", "Kühle Töne", "ゆっくり", "a.b", "R&B (slow) #1", "com", "console"]
        {
            assert!(check_name(name).is_ok(), "{name}");
        }
    }

    #[test]
    fn what_a_file_system_chokes_on_is_not() {
        use NameFault::*;
        for (name, fault) in [
            ("", Empty),
            ("  ", Empty),
            ("../up", PathCharacter('/')),
            ("a\\b", PathCharacter('\\')),
            ("C:", PathCharacter(':')),
            ("what?", PathCharacter('?')),
            ("a\nb", Control),
            ("a\0b", Control),
            (".hidden", Edge),
            ("..", Edge),
            ("folk.", Edge),
            (" folk", Edge),
            ("folk ", Edge),
            ("nul", Reserved),
            ("Con.folk", Reserved),
            ("LPT1", Reserved),
            ("com²", Reserved),
        ] {
            assert_eq!(fault_of(name), Some(fault), "{name:?}");
        }
        assert_eq!(fault_of(&"x".repeat(MOST_BYTES)), None);
        assert_eq!(fault_of(&"x".repeat(MOST_BYTES + 1)), Some(TooLong));
    }

    #[test]
    fn a_message_shows_the_name_in_one_short_line() {
        let error = check_name(&format!("a\n{}", "x".repeat(1000))).unwrap_err();
        assert_eq!(error.kind(), "yardstick-name");
        let text = error.to_string();
        assert!(!text.contains('\n') && text.len() < 200, "{text}");
    }

    #[test]
    fn case_alone_makes_no_other_name() {
        assert!(is_same_name("Folk", "fOLK"));
        assert!(is_same_name("KÜHL", "kühl"));
        assert!(!is_same_name("folk", "folks"));
    }
}
