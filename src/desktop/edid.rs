//! What a display says of itself: VESA's E-EDID, release A revision 2, its first block.

/// What is gone by of the block.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Edid {
    /// The display's name for itself.
    pub model: Option<String>,
    /// Width and height of its picture in whole millimetres, as it stands level.
    pub size_mm: Option<[u32; 2]>,
    /// Lowest and highest rate, where it says that it takes any between them.
    pub variable_hz: Option<[f64; 2]>,
}

const BLOCK: usize = 128;
const BEGINNING: [u8; 8] = [0, 255, 255, 255, 255, 255, 255, 0];
/// Where the four descriptors begin, and how long each is.
const DESCRIPTORS: usize = 54;
const DESCRIPTOR: usize = 18;
const NAME: u8 = 0xfc;
const RANGES: u8 = 0xfd;

impl Edid {
    /// Reads the block; `None` where it is none or damaged.
    pub(super) fn read(bytes: &[u8]) -> Option<Edid> {
        let block = bytes.get(..BLOCK)?;
        let sum = block
            .iter()
            .fold(0, |sum: u8, &byte| sum.wrapping_add(byte));
        if !block.starts_with(&BEGINNING) || sum != 0 {
            return None;
        }
        // In centimetres, both zero where it has no size, one of them where it tells a
        // shape instead.
        let centimetres = [block[21], block[22]].map(|cm| u32::from(cm) * 10);
        let takes_any_rate = block[24] & 1 != 0 && [block[18], block[19]] >= [1, 4];
        let mut edid = Edid {
            size_mm: sized(centimetres),
            ..Edid::default()
        };
        let mut has_timing = false;
        for part in block[DESCRIPTORS..].chunks_exact(DESCRIPTOR).take(4) {
            if part[..2] != [0, 0] {
                // The first timing is the preferred one, and tells millimetres.
                if !std::mem::replace(&mut has_timing, true) {
                    let [low_w, low_h, high] = [part[12], part[13], part[14]].map(u32::from);
                    let millimetres = [(high >> 4) << 8 | low_w, (high & 15) << 8 | low_h];
                    edid.size_mm = sized(millimetres).or(edid.size_mm);
                }
            } else if part[3] == NAME {
                edid.model = Some(text(&part[5..])).filter(|name| !name.is_empty());
            } else if part[3] == RANGES && takes_any_rate {
                let more = |flag: u8| if part[4] & 3 >= flag { 255.0 } else { 0.0 };
                let lowest = f64::from(part[5]) + more(3);
                let highest = f64::from(part[6]) + more(2);
                edid.variable_hz = (0.0 < lowest && lowest < highest).then_some([lowest, highest]);
            }
        }
        Some(edid)
    }
}

fn sized(size_mm: [u32; 2]) -> Option<[u32; 2]> {
    size_mm.iter().all(|&side| side > 0).then_some(size_mm)
}

/// A text that ends with its room or a line feed.
fn text(bytes: &[u8]) -> String {
    let end = bytes.iter().position(|&byte| byte == b'\n' || byte == 0);
    let bytes = &bytes[..end.unwrap_or(bytes.len())];
    let letters = bytes.iter().map(|&byte| char::from(byte));
    let printed: String = letters.filter(|letter| !letter.is_control()).collect();
    printed.trim().to_owned()
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// The block of a display that doesn't exist. Another reader, edid-decode 2022-03-15,
    /// says of it: "Loft 27", 60 cm x 34 cm, the first timing 597 mm x 336 mm,
    /// 48-144 Hz, continuous frequency, checksum right.
    pub(in crate::desktop) fn block() -> Vec<u8> {
        let lines = [
            "00ffffffffffff00510c341201000000",
            "14220104b53c227807ee91a3544c9926",
            "0f505400000001010101010101010101",
            "010101010101565e00a0a0a029503020",
            "350055502100001a000000fd0030901e",
            "de3c010a202020202020000000fc004c",
            "6f66742032370a2020202020000000ff",
            "00303030303030303030310a20200031",
        ];
        let digits = lines.concat();
        let pairs = digits.as_bytes().chunks(2);
        let byte = |pair| u8::from_str_radix(str::from_utf8(pair).expect("ASCII"), 16);
        pairs.map(|pair| byte(pair).expect("two digits")).collect()
    }

    /// With a byte changed, and the sum right again.
    fn with(at: usize, byte: u8) -> Option<Edid> {
        let mut block = block();
        block[127] = block[127].wrapping_add(block[at]).wrapping_sub(byte);
        block[at] = byte;
        Edid::read(&block)
    }

    #[test]
    fn a_display_is_read_as_another_reader_reads_it() {
        let edid = Edid {
            model: Some("Loft 27".to_owned()),
            size_mm: Some([597, 336]),
            variable_hz: Some([48.0, 144.0]),
        };
        assert_eq!(Edid::read(&block()), Some(edid.clone()));
        // Further blocks follow.
        assert_eq!(Edid::read(&[block(), vec![7; 128]].concat()), Some(edid));
    }

    #[test]
    fn what_is_damaged_is_not_gone_by() {
        let whole = block();
        assert_eq!(Edid::read(&[]), None);
        assert_eq!(Edid::read(&whole[..127]), None);
        for at in 0..whole.len() {
            let mut broken = whole.clone();
            broken[at] ^= 0x10;
            assert_eq!(Edid::read(&broken), None, "byte {at}");
        }
    }

    #[test]
    fn what_a_display_leaves_out_is_unknown() {
        let size = |at, byte| with(at, byte).and_then(|edid| edid.size_mm);
        // The timing has no height: the centimetres are left.
        let mut block = block();
        for at in [67, 68] {
            block[127] = block[127].wrapping_add(block[at]);
            block[at] = 0;
        }
        assert_eq!(
            Edid::read(&block).map(|edid| edid.size_mm),
            Some(Some([600, 340]))
        );
        block[127] = block[127].wrapping_add(block[22]);
        block[22] = 0;
        assert_eq!(Edid::read(&block).map(|edid| edid.size_mm), Some(None));
        assert_eq!(size(68, 0x51), Some([0x555, 336]));

        let rates = |at, byte| with(at, byte).and_then(|edid| edid.variable_hz);
        assert_eq!(rates(24, 0x06), None, "it takes some rates only");
        assert_eq!(rates(19, 3), None, "the bit meant something else then");
        assert_eq!(rates(77, 144), None, "lowest and highest are one");
        assert_eq!(rates(76, 2), Some([48.0, 399.0]));
        assert_eq!(rates(76, 3), Some([303.0, 399.0]));

        let name = |at, byte| with(at, byte).and_then(|edid| edid.model);
        assert_eq!(name(93, 0xfe), None);
        assert_eq!(name(95, 0x07).as_deref(), Some("oft 27"));
    }
}
