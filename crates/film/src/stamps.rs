//! The lines that the filters in [`crate::filters`] write about each frame.

/// One thing said about a frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Note {
    /// The filter's own count and the frame's time in ticks of the stream, if it has one.
    Frame { number: u64, tick: Option<i64> },
    /// Scene-change score of the frame just named, 0 to 100.
    Score(f32),
    /// Ours, but of no interest.
    Quiet,
}

/// Reads a line of the error stream; `None` when it is not one of ours. Messages of the tool may be glued in
/// front, because it writes its own lines in pieces.
pub(crate) fn parse(line: &str) -> Option<Note> {
    if let Some(at) = line.find("lavfi.scd.") {
        let rest = &line[at + "lavfi.scd.".len()..];
        return match rest.strip_prefix("score=") {
            Some(v) => v.trim().parse().ok().map(Note::Score),
            None => Some(Note::Quiet),
        };
    }
    if line.trim() == "i=1" {
        return Some(Note::Quiet);
    }
    let rest = &line[line.rfind("frame:")? + "frame:".len()..];
    let mut words = rest.split_whitespace();
    let number = words.next()?.parse().ok()?;
    let tick = words.next()?.strip_prefix("pts:")?;
    let tick = if tick == "NOPTS" { None } else { Some(tick.parse().ok()?) };
    Some(Note::Frame { number, tick })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_of_the_filters_are_read_even_behind_a_message() {
        assert_eq!(
            parse("frame:12   pts:24024   pts_time:0.8008"),
            Some(Note::Frame { number: 12, tick: Some(24_024) })
        );
        assert_eq!(
            parse("[mov @ 0x5] partial fileframe:0    pts:NOPTS   pts_time:NOPTS"),
            Some(Note::Frame { number: 0, tick: None })
        );
        assert_eq!(
            parse("frame:0    pts:-3       pts_time:-0.1"),
            Some(Note::Frame { number: 0, tick: Some(-3) })
        );
        assert_eq!(parse("lavfi.scd.score=7.250"), Some(Note::Score(7.25)));
        assert_eq!(parse("lavfi.scd.mafd=7.250"), Some(Note::Quiet));
        assert_eq!(parse("[h264 @ 0x1] error while decoding frame: bad"), None);
    }
}
