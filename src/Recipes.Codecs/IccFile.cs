using System.Buffers.Binary;
using System.Text;

namespace Recipes.Codecs;

/// <summary>Writes an ICC profile of a display: a matrix and curves, or a gray curve.</summary>
/// <remarks>ICC.1:2022 (version 4): header (7.2), tag table (7.3), types (10).</remarks>
internal static class IccFile
{
    /// <summary>D50 (7.2.16), the white of every profile's connection space.</summary>
    public static readonly double[] White = [0.9642, 1, 0.8249];

    /// <summary>sRGB's curve, function type 3: ((x + 0.055) / 1.055)^2.4 from 0.04045 on, x / 12.92 below.</summary>
    public static byte[] SrgbCurve => [.. "para"u8, 0, 0, 0, 0, 0, 3, 0, 0, .. Fixed([2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045])];

    /// <summary>A power of an exponent, function type 0.</summary>
    public static byte[] Power(double exponent) => [.. "para"u8, 0, 0, 0, 0, 0, 0, 0, 0, .. Fixed([exponent])];

    /// <summary>The whole file: header, tag table, and the tags, of which those with the same content share it.</summary>
    /// <param name="space">Four letters: <c>"RGB "</c> or <c>"GRAY"</c>.</param>
    /// <param name="tags">Each tag's four letters and its content.</param>
    public static byte[] Make(string space, (string Tag, byte[] Data)[] tags)
    {
        var data = new List<byte>();
        var places = new Dictionary<byte[], int>();
        int start = 128 + 4 + (12 * tags.Length);
        var table = new List<byte>(Word((uint)tags.Length));
        foreach (var (tag, content) in tags)
        {
            // Each begins at a multiple of four.
            if (!places.TryGetValue(content, out int at))
            {
                places[content] = at = start + data.Count;
                data.AddRange(content);
                data.AddRange(new byte[-content.Length & 3]);
            }

            table.AddRange([.. Encoding.ASCII.GetBytes(tag), .. Word((uint)at), .. Word((uint)content.Length)]);
        }

        byte[] header = new byte[128];
        Word((uint)(start + data.Count)).CopyTo(header, 0);
        header[8] = 4;
        header[9] = 0x40;
        Encoding.ASCII.GetBytes($"mntr{space}XYZ ").CopyTo(header, 12);
        // The day of the version, so that the bytes never differ.
        (header[24], header[25], header[27], header[29]) = (0x07, 0xEA, 1, 1);
        "acsp"u8.CopyTo(header.AsSpan(36));
        // Rendering intent at 64: 1, relative colorimetric.
        header[67] = 1;
        Fixed(White).CopyTo(header, 68);
        return [.. header, .. table, .. data];
    }

    public static byte[] Xyz(double[] values) => [.. "XYZ "u8, 0, 0, 0, 0, .. Fixed(values)];

    /// <summary>Numbers as s15Fixed16.</summary>
    public static byte[] Fixed(double[] values) => [.. values.SelectMany(value => Word((uint)(int)Math.Round(value * 65536)))];

    public static byte[] Word(uint value)
    {
        byte[] bytes = new byte[4];
        BinaryPrimitives.WriteUInt32BigEndian(bytes, value);
        return bytes;
    }
}
