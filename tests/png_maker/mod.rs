//! PNG files byte by byte, right or wrong (ISO/IEC 15948, RFC 1950 and 1951).
#![allow(dead_code, reason = "each test program uses what it needs")]

/// How a file begins.
pub(crate) const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";

/// The header's numbers for what a pixel's samples are.
pub(crate) const GREY: u8 = 0;
pub(crate) const RGB: u8 = 2;
pub(crate) const PALETTE: u8 = 3;
pub(crate) const GREY_ALPHA: u8 = 4;
pub(crate) const RGBA: u8 = 6;

/// CRC-32 of some bytes.
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            (crc >> 1) ^ (0xedb8_8320 * (crc & 1))
        })
    })
}

/// A chunk, its CRC right.
pub(crate) fn chunk(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut bytes = (data.len() as u32).to_be_bytes().to_vec();
    bytes.extend(kind);
    bytes.extend(data);
    bytes.extend(crc(&bytes[4..]).to_be_bytes());
    bytes
}

/// The first chunk: size, bits a sample, the colour's number, and whether it is
/// interlaced.
pub(crate) fn header([w, h]: [u32; 2], bits: u8, colour: u8, interlace: u8) -> Vec<u8> {
    header_of(&header_data([w, h], bits, colour, [0, 0, interlace]))
}

/// What the first chunk holds; the last are the methods of compression, filters
/// and interlacing.
pub(crate) fn header_data([w, h]: [u32; 2], bits: u8, colour: u8, methods: [u8; 3]) -> Vec<u8> {
    let mut data = w.to_be_bytes().to_vec();
    data.extend(h.to_be_bytes());
    data.extend([bits, colour]);
    data.extend(methods);
    data
}

/// The first chunk with any data.
pub(crate) fn header_of(data: &[u8]) -> Vec<u8> {
    chunk(b"IHDR", data)
}

/// Adler-32, of the two sums that it keeps.
fn adler([one, other]: [u128; 2]) -> [u8; 4] {
    ((((other % 65_521) << 16) | (one % 65_521)) as u32).to_be_bytes()
}

/// A zlib stream that stores bytes as they are.
pub(crate) fn stored(bytes: &[u8]) -> Vec<u8> {
    let mut out = vec![0x78, 0x01];
    let mut blocks = bytes.chunks(0xffff).peekable();
    if blocks.peek().is_none() {
        out.extend([1, 0, 0, 0xff, 0xff]);
    }
    while let Some(block) = blocks.next() {
        out.push(u8::from(blocks.peek().is_none()));
        let length = block.len() as u16;
        out.extend(length.to_le_bytes());
        out.extend((!length).to_le_bytes());
        out.extend(block);
    }
    let sums = bytes.iter().fold([1, 0], |[one, other], byte| {
        let one = one + u128::from(*byte);
        [one, other + one]
    });
    out.extend(adler(sums));
    out
}

/// A zlib stream of 1 + 258 × `runs` bytes, all `a`: as much as the fixed codes
/// make of little.
pub(crate) fn bomb(runs: usize) -> Vec<u8> {
    /// Bits, of which the lowest comes first.
    struct Bits(Vec<u8>, u32, u32);
    impl Bits {
        fn push(&mut self, code: u32, count: u32) {
            for bit in (0..count).rev() {
                self.1 |= (code >> bit & 1) << self.2;
                self.2 += 1;
                if self.2 == 8 {
                    self.0.push(self.1 as u8);
                    (self.1, self.2) = (0, 0);
                }
            }
        }
    }
    let mut bits = Bits(vec![0x78, 0x01], 0, 0);
    bits.push(0b110, 3); // The last block, of fixed codes.
    bits.push(0x30 + u32::from(b'a'), 8);
    for _ in 0..runs {
        bits.push(0b1100_0101 << 5, 13); // 258 bytes like the last one.
    }
    bits.push(0, 7); // The end,
    bits.push(0, 7); // and what is left of a byte.
    let mut out = bits.0;
    let (count, byte) = (1 + 258 * runs as u128, u128::from(b'a'));
    out.extend(adler([
        1 + count * byte,
        count + byte * count * (count + 1) / 2,
    ]));
    out
}

/// A file of chunks, between the signature and the end.
pub(crate) fn file(chunks: &[Vec<u8>]) -> Vec<u8> {
    [SIGNATURE, &chunks.concat(), &chunk(b"IEND", b"")].concat()
}

/// The pixels' chunk: rows with their filters, none compressed.
pub(crate) fn pixels(rows: &[u8]) -> Vec<u8> {
    chunk(b"IDAT", &stored(rows))
}

/// A whole file of one colour's samples, 8 bits each, row by row.
pub(crate) fn plain(size_px: [u32; 2], colour: u8, samples: &[u8]) -> Vec<u8> {
    let rows = unfiltered(samples, samples.len() / size_px[1] as usize);
    file(&[header(size_px, 8, colour, 0), pixels(&rows)])
}

/// Rows of so many bytes, each behind the number of the filter that does nothing.
pub(crate) fn unfiltered(bytes: &[u8], row: usize) -> Vec<u8> {
    let rows = bytes.chunks(row.max(1));
    rows.flat_map(|row| [&[0], row].concat()).collect()
}

/// As [`plain`], interlaced.
pub(crate) fn interlaced([w, h]: [u32; 2], colour: u8, samples: &[u8]) -> Vec<u8> {
    let per_pixel = samples.len() / (w * h) as usize;
    let mut rows = Vec::new();
    // First column and row, and the steps between, of the seven passes.
    for [x, y, dx, dy] in [
        [0, 0, 8, 8],
        [4, 0, 8, 8],
        [0, 4, 4, 8],
        [2, 0, 4, 4],
        [0, 2, 2, 4],
        [1, 0, 2, 2],
        [0, 1, 1, 2],
    ] {
        for row in (y..h).step_by(dy as usize).filter(|_| x < w) {
            rows.push(0);
            for column in (x..w).step_by(dx as usize) {
                let at = (row * w + column) as usize * per_pixel;
                rows.extend(&samples[at..at + per_pixel]);
            }
        }
    }
    file(&[header([w, h], 8, colour, 1), pixels(&rows)])
}
