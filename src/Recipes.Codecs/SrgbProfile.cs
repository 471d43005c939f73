using System.Buffers.Binary;
using System.Text;

namespace Recipes.Codecs;

/// <summary>An ICC profile of sRGB, for files that have no shorter way to say so.</summary>
/// <remarks>
/// ICC.1:2022 (version 4): a display's matrix and one parametric curve. Colorants are sRGB's primaries (IEC 61966-2-1) under the
/// Bradford adaptation from D65 to D50, in s15Fixed16.
/// </remarks>
internal static class SrgbProfile
{
    private const string Name = "sRGB";
    private const string Copyright = "No copyright, use freely";

    // D50 (7.2.16); the adaptation from D65 (Annex E, Bradford); the colorants (Lindbloom's sRGB matrix for D50).
    private static readonly double[] White = [0.9642, 1, 0.8249];
    private static readonly double[] Adaptation = [1.0478112, 0.0228866, -0.0501270, 0.0295424, 0.9904844, -0.0170491, -0.0092345, 0.0150436, 0.7521316];
    private static readonly double[] Red = [0.4360747, 0.2225045, 0.0139322], Green = [0.3850649, 0.7168786, 0.0971045], Blue = [0.1430804, 0.0606169, 0.7141733];

    // Function type 3: ((x + 0.055) / 1.055)^2.4 from 0.04045 on, x / 12.92 below.
    private static readonly double[] Curve = [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045];

    /// <summary>The whole profile.</summary>
    public static byte[] Bytes { get; } = Make();

    private static byte[] Make()
    {
        byte[] curve = [.. "para"u8, 0, 0, 0, 0, 0, 3, 0, 0, .. Fixed(Curve)];
        (string Tag, byte[] Data)[] tags =
        [
            ("desc", Text(Name)), ("cprt", Text(Copyright)), ("wtpt", Xyz(White)), ("chad", [.. "sf32"u8, 0, 0, 0, 0, .. Fixed(Adaptation)]),
            ("rXYZ", Xyz(Red)), ("gXYZ", Xyz(Green)), ("bXYZ", Xyz(Blue)), ("rTRC", curve), ("gTRC", curve), ("bTRC", curve),
        ];
        var data = new List<byte>();
        var places = new Dictionary<byte[], int>();
        int start = 128 + 4 + (12 * tags.Length);
        var table = new List<byte>(Word((uint)tags.Length));
        foreach (var (tag, content) in tags)
        {
            // Tags may share their data; each begins at a multiple of four.
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
        "mntrRGB XYZ "u8.CopyTo(header.AsSpan(12));
        // The day of the version, so that the bytes never differ.
        (header[24], header[25], header[27], header[29]) = (0x07, 0xEA, 1, 1);
        "acsp"u8.CopyTo(header.AsSpan(36));
        // Rendering intent at 64: 1, relative colorimetric.
        header[67] = 1;
        Fixed(White).CopyTo(header, 68);
        return [.. header, .. table, .. data];
    }

    private static byte[] Text(string text)
    {
        byte[] characters = Encoding.BigEndianUnicode.GetBytes(text);
        return [.. "mluc"u8, 0, 0, 0, 0, .. Word(1), .. Word(12), .. "enUS"u8, .. Word((uint)characters.Length), .. Word(28), .. characters];
    }

    private static byte[] Xyz(double[] values) => [.. "XYZ "u8, 0, 0, 0, 0, .. Fixed(values)];

    private static byte[] Fixed(double[] values) => [.. values.SelectMany(value => Word((uint)(int)Math.Round(value * 65536)))];

    private static byte[] Word(uint value)
    {
        byte[] bytes = new byte[4];
        BinaryPrimitives.WriteUInt32BigEndian(bytes, value);
        return bytes;
    }
}
