//! What a file's first bytes say it is.

/// What a file seems to be, judged by its beginning alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// RIFF/WAVE, whose header lies in one part of at most 4 GiB.
    Wave,
    /// The same with 64-bit sizes (EBU Tech 3306 "RF64", ITU-R BS.2088 "BW64").
    Wave64Bit,
    /// AIFF or AIFF-C.
    Aiff,
    /// FLAC.
    Flac,
    /// Ogg, or the ISO base media format (M4A, MP4).
    Other,
    /// An MPEG audio or ADTS frame, or a tag that stands before one.
    Mpeg,
    /// A format that is known by name but not decoded.
    Known(&'static str),
    /// Nothing known.
    Unknown,
}

/// How many bytes of a file's beginning are looked at.
pub(crate) const SNIFFED: usize = 16;

/// Beginnings of formats that hold sound but are not decoded.
const KNOWN: [(&[u8], &str); 12] = [
    (b"riff\x2e\x91\xcf\x11", "the 64-bit Wave64 format"),
    (b"caff", "the Core Audio format"),
    (b"\x1a\x45\xdf\xa3", "Matroska or WebM"),
    (b"wvpk", "WavPack"),
    (b"MAC ", "Monkey's Audio"),
    (b"TTA1", "True Audio"),
    (b"MPCK", "Musepack"),
    (b"MP+", "Musepack"),
    (b"DSD ", "DSD"),
    (b"FRM8", "DSD"),
    (b"\x30\x26\xb2\x75\x8e\x66\xcf\x11", "Windows Media"),
    (b".snd", "the AU format"),
];

/// Says what `head` (the first [`SNIFFED`] bytes of a file, or all there are) begins.
pub(crate) fn sniff(head: &[u8]) -> Kind {
    let form = head.get(8..12);
    if head.starts_with(b"RIFF") && form.is_none_or(|form| form == b"WAVE") {
        Kind::Wave
    } else if head.starts_with(b"RF64") || head.starts_with(b"BW64") {
        Kind::Wave64Bit
    } else if head.starts_with(b"FORM") && form.is_none_or(|form| form == b"AIFF" || form == b"AIFC") {
        Kind::Aiff
    } else if head.starts_with(b"fLaC") {
        Kind::Flac
    } else if head.starts_with(b"OggS") || head.get(4..8) == Some(b"ftyp") {
        Kind::Other
    } else if head.starts_with(b"ID3") || is_mpeg_sync(head) {
        Kind::Mpeg
    } else {
        KNOWN
            .iter()
            .find(|(magic, _)| head.starts_with(magic))
            .map_or(Kind::Unknown, |&(_, name)| Kind::Known(name))
    }
}

/// Eleven set bits begin an MPEG audio frame (ISO/IEC 11172-3, 2.4.1.3, and its MPEG-2.5 extension); twelve
/// an ADTS frame (ISO/IEC 13818-7, 6.2).
pub(crate) fn is_mpeg_sync(bytes: &[u8]) -> bool {
    matches!(bytes, [0xff, second, ..] if second & 0xe0 == 0xe0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formats_are_told_by_their_first_bytes() {
        assert_eq!(sniff(b"RIFF\x24\0\0\0WAVEfmt "), Kind::Wave);
        assert_eq!(sniff(b"RIFF\x24\0"), Kind::Wave);
        assert_eq!(sniff(b"RIFF\x24\0\0\0AVI LIST"), Kind::Unknown);
        assert_eq!(sniff(b"RF64\xff\xff\xff\xffWAVEds64"), Kind::Wave64Bit);
        assert_eq!(sniff(b"FORM\0\0\0\x24AIFFCOMM"), Kind::Aiff);
        assert_eq!(sniff(b"fLaC\0\0\0\x22"), Kind::Flac);
        assert_eq!(sniff(b"\0\0\0\x20ftypM4A "), Kind::Other);
        assert_eq!(sniff(b"\xff\xfb\x90\x64"), Kind::Mpeg);
        assert_eq!(sniff(b"wvpk0123456789ab"), Kind::Known("WavPack"));
        assert_eq!(sniff(b"It was a dark an"), Kind::Unknown);
        assert_eq!(sniff(b""), Kind::Unknown);
    }
}
