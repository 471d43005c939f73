namespace Recipes.Decoders;

/// <summary>What a file says about its picture before any pixel is decoded; sizes are checked, as stored, not yet upright.</summary>
internal sealed class Heading
{
    public required string Format { get; init; }

    public int Width { get; set; }

    public int Height { get; set; }

    public string Mode { get; set; } = "";

    public ColorModel Model { get; set; }

    /// <summary>Bits per channel as decoded: 8 or 16.</summary>
    public int Depth { get; set; } = 8;

    public AlphaKind Alpha { get; set; }

    /// <summary>Bytes of the file that the library is shown with another value.</summary>
    public List<(int At, byte Value)> Shown { get; } = [];

    /// <summary>The profile to convert from; null where the colors are sRGB's already, or CMYK without a profile.</summary>
    public byte[]? Profile { get; set; }

    /// <summary>The exponent that makes light of a stored level, where the file states one: levels become sRGB's before any profile sees them.</summary>
    public double? Exponent { get; set; }

    /// <summary>True where <see cref="Profile"/> is of RGB, even on a gray picture.</summary>
    public bool ProfileIsRgb { get; private set; }

    /// <summary>True where the profile converts by tables, or where the library's own CMYK profile does.</summary>
    public bool ProfileIsTable => Profile is null || IccProfile.IsTable(Profile);

    /// <summary>The library makes RGB of what is stored: of a palette, which may come as gray, or of YCbCr, which may come with alpha.</summary>
    public bool IsExpanded { get; set; }

    /// <summary>Packed so that its reader goes on behind damage, with a warning.</summary>
    public bool IsPackedLoosely { get; set; }

    /// <summary>A way of storing pixels that only the library reads.</summary>
    public bool NeedsLibrary { get; set; }

    /// <summary>True where the plain readers don't suffice.</summary>
    public bool NeedsConversion => NeedsLibrary || Profile is not null || Exponent is not null || Model == ColorModel.Cmyk || Depth == 16;

    /// <summary>From the format's own field; EXIF's counts where this is null.</summary>
    public double? PixelsPerInch { get; set; }

    public ExifData? Exif { get; set; }

    /// <summary>A profile or chunk said that the colors are sRGB.</summary>
    public bool StatesColor { get; set; }

    public string? Provenance { get; set; }

    public List<string> Notes { get; } = [];

    /// <summary>Keeps the first EXIF block; a damaged one leaves a note, since the picture doesn't depend on it.</summary>
    public void TakeExif(ReadOnlySpan<byte> block)
    {
        if (Exif is null && (Exif = ExifData.Read(block)) is null)
        {
            Notes.Add("its EXIF data is damaged and was not used");
        }
    }

    /// <summary>Takes a profile: notes that it is sRGB, or keeps it to convert from; refuses one that can't be used.</summary>
    public void TakeProfile(ReadOnlySpan<byte> profile, Refusal refusal)
    {
        if (IccProfile.Fault(profile, Model) is { } fault)
        {
            throw refusal.Foreign(fault);
        }

        if (IccProfile.Difference(profile, Model, out string? note) is { } difference)
        {
            ConvertFrom(profile.ToArray(), difference);
        }

        if (note is not null)
        {
            Notes.Add(note);
        }

        StatesColor = true;
    }

    /// <summary>Keeps a sound profile to convert from, where one is needed, and notes what the file states.</summary>
    public void ConvertFrom(byte[]? profile, string stated)
    {
        Profile = profile;
        ProfileIsRgb = profile is not null && IccProfile.IsRgb(profile);
        Notes.Add($"{stated}; converted to sRGB, relative colorimetric with black point compensation");
    }

    /// <summary>Notes what is done to pixels that aren't 8-bit RGB; to be called once all is known.</summary>
    public void NoteConversion()
    {
        if (Model == ColorModel.Cmyk && Profile is null)
        {
            Notes.Add("CMYK without a profile: taken for the image library's own general CMYK profile and converted to sRGB, "
                + "relative colorimetric with black point compensation; its colors are a guess");
        }

        if (Depth == 16)
        {
            Notes.Add("16 bits per channel rounded to 8");
        }

        if (Alpha == AlphaKind.Premultiplied)
        {
            Notes.Add("colors divided by the alpha they were multiplied with");
        }
    }
}
