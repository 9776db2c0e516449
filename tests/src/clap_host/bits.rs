//! Sound as bits: what is compared must be equal to the last one, NaNs and signs of zero included.

/// Fails at the first sample that is not the same to the last bit.
#[track_caller]
pub fn assert_same(output: &[Vec<f32>], input: &[Vec<f32>], what: &str) {
    assert_eq!(output.len(), input.len(), "{what}: channels");
    for (channel, (output, input)) in output.iter().zip(input).enumerate() {
        assert_eq!(output.len(), input.len(), "{what}: frames of channel {channel}");
        let differing =
            output.iter().zip(input).position(|(output, input)| output.to_bits() != input.to_bits());
        if let Some(frame) = differing {
            let (output, input) = (output[frame], input[frame]);
            panic!("{what}: channel {channel}, frame {frame}: {input:e} came out as {output:e}");
        }
    }
}
