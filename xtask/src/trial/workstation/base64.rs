//! Base64 (RFC 4648, section 4): as Ardour keeps scripts, and the state of plugins.

const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Bytes in base64.
pub(super) fn of(bytes: &[u8]) -> String {
    let mut text = String::new();
    for three in bytes.chunks(3) {
        let bits =
            (0..3).fold(0_usize, |bits, n| bits << 8 | usize::from(three.get(n).copied().unwrap_or(0)));
        for n in 0..4 {
            let digit = DIGITS[bits >> (18 - 6 * n) & 63];
            text.push(if n <= three.len() { char::from(digit) } else { '=' });
        }
    }
    text
}

/// The text that base64 stands for. What is no digit ends it.
pub(super) fn text(base64: &str) -> String {
    let digits = base64.bytes().map_while(|digit| DIGITS.iter().position(|known| *known == digit));
    let (mut bits, mut held, mut bytes) = (0, 0, Vec::new());
    for digit in digits {
        (bits, held) = (bits << 6 | digit, held + 6);
        if held >= 8 {
            held -= 8;
            bytes.push((bits >> held) as u8);
            bits &= (1 << held) - 1;
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of RFC 4648, section 10.
    #[test]
    fn the_standards_examples() {
        let examples = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
        ];
        for (plain, text) in examples.into_iter().chain([("foobar", "Zm9vYmFy")]) {
            assert_eq!(of(plain.as_bytes()), text);
            assert_eq!(super::text(text), plain);
        }
    }
}
