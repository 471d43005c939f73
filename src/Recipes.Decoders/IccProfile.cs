using System.Buffers.Binary;
using System.Text;

namespace Recipes.Decoders;

/// <summary>Judges whether an embedded ICC profile means sRGB, or can be converted from; it never converts.</summary>
/// <remarks>
/// ICC.1:2022 (and version 2). An RGB profile is sRGB where it is a matrix and three curves, each colorant (D50-adapted XYZ)
/// lies within 0.003 of sRGB's, and each curve, at 16 even points and written back through sRGB's own encoding, lies within
/// 2 levels of 255. A gray profile is taken for sRGB where its curve passes the same test or is a pure gamma of 2.2 within 0.03.
/// </remarks>
internal static class IccProfile
{
    private const double ColorantTolerance = 0.003, CurveTolerance = 2.0 / 255, GammaTolerance = 0.03;
    private const int CurvePoints = 16;

    // A real profile has 9 to 30 tags.
    private const int MostTags = 200;

    // sRGB's primaries under the Bradford adaptation to D50 (Lindbloom, RGB working space matrices).
    private static readonly (string Tag, double X, double Y, double Z)[] Colorants =
    [
        ("rXYZ", 0.4360747, 0.2225045, 0.0139322),
        ("gXYZ", 0.3850649, 0.7168786, 0.0971045),
        ("bXYZ", 0.1430804, 0.0606169, 0.7141733),
    ];

    /// <summary>Why nothing can be done with the profile, or null where it is sound enough to be judged or converted from.</summary>
    /// <param name="profile">The whole profile.</param>
    /// <param name="model">What the picture's channels are.</param>
    public static string? Fault(ReadOnlySpan<byte> profile, ColorModel model)
    {
        if (profile.Length < 132 || !profile[36..40].SequenceEqual("acsp"u8))
        {
            return "its color profile is damaged";
        }

        uint length = BinaryPrimitives.ReadUInt32BigEndian(profile), tags = BinaryPrimitives.ReadUInt32BigEndian(profile[128..]);
        if (length < 132 || length > profile.Length || tags > MostTags || 132 + (12 * tags) > length)
        {
            return "its color profile is damaged or cut short";
        }

        for (int i = 0; i < tags; i++)
        {
            var entry = profile.Slice(132 + (12 * i), 12);
            if ((ulong)BinaryPrimitives.ReadUInt32BigEndian(entry[4..]) + BinaryPrimitives.ReadUInt32BigEndian(entry[8..]) > length)
            {
                return "its color profile is damaged or cut short";
            }
        }

        // ICC.1:2022, 7.2.5 and 7.2.6: a device's profile, of the channels that the picture has. A gray picture may carry an RGB profile.
        var kind = profile[12..16];
        bool ofDevice = kind.SequenceEqual("scnr"u8) || kind.SequenceEqual("mntr"u8) || kind.SequenceEqual("prtr"u8) || kind.SequenceEqual("spac"u8);
        bool fits = model switch
        {
            ColorModel.Cmyk => profile[16..20].SequenceEqual("CMYK"u8),
            ColorModel.Gray => IsGray(profile) || IsRgb(profile),
            _ => IsRgb(profile),
        };
        return ofDevice && fits ? null
            : IsGray(profile) ? $"{Named(profile)}, a gray profile on a color picture"
            : $"{Named(profile)}, which is not of the kind that the picture's channels need";
    }

    /// <summary>Whether a sound profile's channels are red, green and blue.</summary>
    public static bool IsRgb(ReadOnlySpan<byte> profile) => profile[16..20].SequenceEqual("RGB "u8);

    /// <summary>Whether a sound profile converts by tables, not by a matrix and curves.</summary>
    public static bool IsTable(ReadOnlySpan<byte> profile) => !Tag(profile, "A2B0"u8).IsEmpty || !Tag(profile, "A2B1"u8).IsEmpty;

    /// <summary>The profile named, where it means something else than sRGB; null where it means sRGB.</summary>
    /// <param name="profile">A sound profile.</param>
    /// <param name="model">What the picture's channels are.</param>
    /// <param name="note">Set where the profile was taken for sRGB with a difference.</param>
    public static string? Difference(ReadOnlySpan<byte> profile, ColorModel model, out string? note)
    {
        note = null;
        if (model == ColorModel.Cmyk)
        {
            return Named(profile);
        }

        if (IsGray(profile))
        {
            var curve = Tag(profile, "kTRC"u8);
            if (FollowsSrgb(curve))
            {
                return null;
            }

            if (Math.Abs(PureGamma(curve) - 2.2) <= GammaTolerance)
            {
                note = "its gray profile of gamma 2.2 was taken for sRGB, which differs in the darkest tones only";
                return null;
            }

            return Named(profile);
        }

        if (!profile[20..24].SequenceEqual("XYZ "u8)
            || !Tag(profile, "A2B0"u8).IsEmpty || !Tag(profile, "A2B1"u8).IsEmpty || !Tag(profile, "D2B0"u8).IsEmpty)
        {
            return Named(profile);
        }

        foreach (var (tag, x, y, z) in Colorants)
        {
            var colorant = Tag(profile, Encoding.ASCII.GetBytes(tag));
            if (colorant.Length < 20 || !colorant.StartsWith("XYZ "u8)
                || !Near(Fixed(colorant[8..]), x) || !Near(Fixed(colorant[12..]), y) || !Near(Fixed(colorant[16..]), z))
            {
                return Named(profile);
            }
        }

        return FollowsSrgb(Tag(profile, "rTRC"u8)) && FollowsSrgb(Tag(profile, "gTRC"u8)) && FollowsSrgb(Tag(profile, "bTRC"u8))
            ? null
            : Named(profile);

        static bool Near(double a, double b) => Math.Round(Math.Abs(a - b), 6) <= ColorantTolerance;
    }

    private static bool IsGray(ReadOnlySpan<byte> profile) => profile[16..20].SequenceEqual("GRAY"u8);

    private static string Named(ReadOnlySpan<byte> profile) =>
        Description(profile) is { Length: > 0 } text ? $"its color profile is \"{text}\"" : "its color profile has no name";

    // The data of a tag, empty where it is absent or lies outside the profile.
    private static ReadOnlySpan<byte> Tag(ReadOnlySpan<byte> profile, ReadOnlySpan<byte> signature)
    {
        uint count = Math.Min(BinaryPrimitives.ReadUInt32BigEndian(profile[128..]), MostTags);
        for (int i = 0; i < count && 132 + (12 * i) + 12 <= profile.Length; i++)
        {
            var entry = profile.Slice(132 + (12 * i), 12);
            if (entry.StartsWith(signature))
            {
                uint offset = BinaryPrimitives.ReadUInt32BigEndian(entry[4..]), size = BinaryPrimitives.ReadUInt32BigEndian(entry[8..]);
                return (long)offset + size <= profile.Length ? profile.Slice((int)offset, (int)size) : [];
            }
        }

        return [];
    }

    private static bool FollowsSrgb(ReadOnlySpan<byte> curve)
    {
        for (int i = 0; i < CurvePoints; i++)
        {
            double x = i / (CurvePoints - 1.0);
            if (!(Math.Round(Math.Abs(Encode(Evaluate(curve, x)) - x), 6) <= CurveTolerance))
            {
                return false;
            }
        }

        return true;
    }

    // IEC 61966-2-1, from linear light to the encoded value.
    /// <summary>The level of sRGB, from 0 to 1, that stands for a light (IEC 61966-2-1).</summary>
    public static double Encode(double linear) => linear <= 0.0031308 ? linear * 12.92 : (1.055 * Math.Pow(linear, 1 / 2.4)) - 0.055;

    // The linear light of an encoded value by a curveType or parametricCurveType tag (ICC.1:2022, 10.6 and 10.18); NaN where damaged.
    private static double Evaluate(ReadOnlySpan<byte> curve, double x)
    {
        if (curve.Length < 12)
        {
            return double.NaN;
        }

        if (PureGamma(curve) is var gamma and > 0)
        {
            return Math.Pow(x, gamma);
        }

        if (curve.StartsWith("curv"u8))
        {
            uint count = BinaryPrimitives.ReadUInt32BigEndian(curve[8..]);
            if (count < 2 || count > (curve.Length - 12) / 2)
            {
                return double.NaN;
            }

            double at = x * (count - 1);
            int low = Math.Min((int)at, (int)count - 2);
            double a = BinaryPrimitives.ReadUInt16BigEndian(curve[(12 + (2 * low))..]), b = BinaryPrimitives.ReadUInt16BigEndian(curve[(14 + (2 * low))..]);
            return (a + ((b - a) * (at - low))) / 65535;
        }

        if (!curve.StartsWith("para"u8))
        {
            return double.NaN;
        }

        // Types 1 to 4 have 3, 4, 5 and 7 parameters, in the order g a b c d e f.
        int type = BinaryPrimitives.ReadUInt16BigEndian(curve[8..]);
        int parameters = type switch { 1 => 3, 2 => 4, 3 => 5, 4 => 7, _ => 0 };
        if (parameters == 0 || curve.Length < 12 + (4 * parameters))
        {
            return double.NaN;
        }

        Span<double> p = stackalloc double[7];
        p.Clear();
        for (int i = 0; i < parameters; i++)
        {
            p[i] = Fixed(curve[(12 + (4 * i))..]);
        }

        double power = Math.Pow((p[1] * x) + p[2], p[0]);
        return type switch
        {
            1 => x >= -p[2] / p[1] ? power : 0,
            2 => x >= -p[2] / p[1] ? power + p[3] : p[3],
            3 => x >= p[4] ? power : p[3] * x,
            _ => x >= p[4] ? power + p[5] : (p[3] * x) + p[6],
        };
    }

    // The exponent of a curve that is a power and nothing else; 0 for other curves.
    private static double PureGamma(ReadOnlySpan<byte> curve)
    {
        if (curve.Length >= 14 && curve.StartsWith("curv"u8) && BinaryPrimitives.ReadUInt32BigEndian(curve[8..]) == 1)
        {
            return BinaryPrimitives.ReadUInt16BigEndian(curve[12..]) / 256.0;
        }

        return curve.Length >= 16 && curve.StartsWith("para"u8) && BinaryPrimitives.ReadUInt16BigEndian(curve[8..]) == 0
            ? Fixed(curve[12..])
            : 0;
    }

    private static double Fixed(ReadOnlySpan<byte> s15Fixed16) => BinaryPrimitives.ReadInt32BigEndian(s15Fixed16) / 65536.0;

    // Version 2 keeps ASCII, version 4 a list of UTF-16 strings of which the first serves; at most 80 printable characters.
    private static string Description(ReadOnlySpan<byte> profile)
    {
        var tag = Tag(profile, "desc"u8);
        string text = "";
        if (tag.Length >= 12 && tag.StartsWith("desc"u8))
        {
            uint length = BinaryPrimitives.ReadUInt32BigEndian(tag[8..]);
            text = Encoding.Latin1.GetString(tag.Slice(12, (int)Math.Min(length, Math.Min(tag.Length - 12, 200))));
        }
        else if (tag.Length >= 28 && tag.StartsWith("mluc"u8))
        {
            uint length = BinaryPrimitives.ReadUInt32BigEndian(tag[20..]), offset = BinaryPrimitives.ReadUInt32BigEndian(tag[24..]);
            if (offset <= tag.Length)
            {
                text = Encoding.BigEndianUnicode.GetString(tag.Slice((int)offset, (int)Math.Min(length, Math.Min(tag.Length - offset, 400))));
            }
        }

        text = new string([.. text.TakeWhile(c => c != '\0').Where(c => !char.IsControl(c) && !char.IsSurrogate(c))]).Trim();
        return text.Length > 80 ? text[..80] : text;
    }
}
