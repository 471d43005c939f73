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

    // The adaptation from D65 (Annex E, Bradford); the colorants (Lindbloom's sRGB matrix for D50).
    private static readonly double[] Adaptation = [1.0478112, 0.0228866, -0.0501270, 0.0295424, 0.9904844, -0.0170491, -0.0092345, 0.0150436, 0.7521316];
    private static readonly double[] Red = [0.4360747, 0.2225045, 0.0139322], Green = [0.3850649, 0.7168786, 0.0971045],
        Blue = [0.1430804, 0.0606169, 0.7141733];

    /// <summary>The whole profile.</summary>
    public static byte[] Bytes { get; } = Make();

    private static byte[] Make()
    {
        byte[] curve = IccFile.SrgbCurve;
        return IccFile.Make("RGB ",
        [
            ("desc", Text(Name)), ("cprt", Text(Copyright)), ("wtpt", IccFile.Xyz(IccFile.White)),
            ("chad", [.. "sf32"u8, 0, 0, 0, 0, .. IccFile.Fixed(Adaptation)]),
            ("rXYZ", IccFile.Xyz(Red)), ("gXYZ", IccFile.Xyz(Green)), ("bXYZ", IccFile.Xyz(Blue)), ("rTRC", curve), ("gTRC", curve), ("bTRC", curve),
        ]);
    }

    private static byte[] Text(string text)
    {
        byte[] characters = Encoding.BigEndianUnicode.GetBytes(text);
        return [.. "mluc"u8, 0, 0, 0, 0, .. IccFile.Word(1), .. IccFile.Word(12), .. "enUS"u8,
            .. IccFile.Word((uint)characters.Length), .. IccFile.Word(28), .. characters];
    }
}
