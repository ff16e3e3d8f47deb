use serde::{Deserialize, Serialize};
use std::ops::Range;

/// Where each frame lies in a proxy: an H.264 byte stream (ITU-T H.264 Annex B), one access unit per frame in
/// order of showing, so that any decoder fed by index gives that frame.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProxyIndex {
    /// Codec string by RFC 6381, such as `avc1.64001f`.
    pub codec: String,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Byte at which each frame begins, and the file's length last: one more entry than frames.
    pub offsets: Vec<u64>,
    /// Frames that can be decoded without any other, in order; the first is 0.
    pub keys: Vec<u32>,
}

impl ProxyIndex {
    /// Number of frames.
    pub fn frames(&self) -> usize {
        self.offsets.len() - 1
    }
    /// Whether frame `index` is a keyframe.
    pub fn is_key(&self, index: usize) -> bool {
        u32::try_from(index).is_ok_and(|i| self.keys.binary_search(&i).is_ok())
    }
    /// The last keyframe not after `index`, from which decoding must start.
    pub fn key_before(&self, index: usize) -> usize {
        let after = self.keys.partition_point(|&k| k as usize <= index);
        after.checked_sub(1).map_or(0, |i| self.keys[i] as usize)
    }
    /// Bytes of the given frames.
    pub fn bytes(&self, frames: Range<usize>) -> Range<u64> {
        self.offsets[frames.start]..self.offsets[frames.end]
    }
}

/// NAL unit types of H.264, table 7-1.
const IDR_SLICE: u8 = 5;
const SEQUENCE_PARAMETERS: u8 = 7;
const ACCESS_UNIT_DELIMITER: u8 = 9;

/// Finds access units in a byte stream given in pieces of any size.
///
/// Every access unit must begin with a delimiter, as ours do; then no slice header need be understood.
#[derive(Default)]
pub(crate) struct Scanner {
    position: u64,
    /// Zero bytes just seen.
    zeros: u64,
    /// The last three bytes were a start code; the next names the unit.
    at_unit: bool,
    /// Sequence parameters still to be collected for the codec string.
    want: Option<Vec<u8>>,
    profile: Option<[u8; 3]>,
    starts: Vec<u64>,
    keys: Vec<u32>,
}

impl Scanner {
    pub fn feed(&mut self, bytes: &[u8]) {
        for &b in bytes {
            if self.at_unit {
                self.unit(b & 0x1f);
                self.at_unit = false;
                self.zeros = 0;
            } else if b == 0 {
                self.zeros += 1;
            } else {
                if b == 1 && self.zeros >= 2 {
                    self.at_unit = true;
                    self.want = None;
                } else if let Some(profile) = &mut self.want {
                    profile.extend(std::iter::repeat_n(0, self.zeros as usize));
                    profile.push(b);
                }
                // A start code may have a zero byte more in front (zero_byte, B.1.2); it belongs to the unit.
                if !self.at_unit {
                    self.zeros = 0;
                }
            }
            if self.want.as_ref().is_some_and(|p| p.len() >= 3) {
                self.profile = self.want.take().map(|p| [p[0], p[1], p[2]]);
            }
            self.position += 1;
        }
    }
    fn unit(&mut self, kind: u8) {
        match kind {
            ACCESS_UNIT_DELIMITER => self.starts.push(self.position - 1 - self.zeros.min(3)),
            IDR_SLICE => {
                let frame = self.starts.len().saturating_sub(1) as u32;
                if self.keys.last() != Some(&frame) {
                    self.keys.push(frame);
                }
            }
            SEQUENCE_PARAMETERS if self.profile.is_none() => self.want = Some(Vec::new()),
            _ => {}
        }
    }
    /// Frames begun so far.
    pub fn frames(&self) -> usize {
        self.starts.len()
    }
    /// Bytes seen so far.
    pub fn position(&self) -> u64 {
        self.position
    }
    /// The index; `None` when the stream held no sequence parameters or does not begin with a frame.
    pub fn finish(self, width: u32, height: u32) -> Option<ProxyIndex> {
        let [profile, constraints, level] = self.profile?;
        if self.starts.first() != Some(&0) {
            return None;
        }
        let mut offsets = self.starts;
        offsets.push(self.position);
        Some(ProxyIndex {
            codec: format!("avc1.{profile:02x}{constraints:02x}{level:02x}"),
            width,
            height,
            offsets,
            keys: self.keys,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bytes written by hand after ITU-T H.264 7.3.1 and B.1; zeros inside a unit and short start codes included.
    const STREAM: &[u8] = &[
        0, 0, 0, 1, 0x09, 0x10, // delimiter, frame 0
        0, 0, 0, 1, 0x67, 0x64, 0x00, 0x1f, 0xac, // sequence parameters: High, level 3.1
        0, 0, 0, 1, 0x68, 0xee, // picture parameters
        0, 0, 1, 0x65, 0x88, 0x00, 0x00, 0x03, 0x01, // IDR slice with an escaped start code
        0, 0, 0, 1, 0x09, 0x30, // delimiter, frame 1
        0, 0, 1, 0x41, 0x9a, // slice
    ];

    #[test]
    fn units_are_found_however_the_stream_is_cut() {
        for size in 1..=STREAM.len() {
            let mut s = Scanner::default();
            STREAM.chunks(size).for_each(|c| s.feed(c));
            let index = s.finish(64, 32).unwrap();
            assert_eq!(index.codec, "avc1.64001f", "pieces of {size}");
            assert_eq!(index.offsets, [0, 30, 41], "pieces of {size}");
            assert_eq!(index.keys, [0]);
            assert!(index.is_key(0) && !index.is_key(1));
            assert_eq!((index.key_before(1), index.bytes(1..2)), (0, 30..41));
        }
    }

    #[test]
    fn a_stream_without_parameters_is_no_proxy() {
        let mut s = Scanner::default();
        s.feed(&STREAM[30..]);
        assert!(s.finish(64, 32).is_none());
    }
}
