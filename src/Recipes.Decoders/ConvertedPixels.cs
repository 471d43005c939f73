using System.Collections.Immutable;
using System.Runtime.InteropServices;
using NetVips;
using Recipes.Codecs;
using Recipes.Imaging;

namespace Recipes.Decoders;

/// <summary>
/// Decodes and converts to 8-bit sRGB what the plain readers don't take: JPEG, TIFF, CMYK, 16 bits, interlaced PNG, other profiles.
/// The only place that touches libvips.
/// </summary>
/// <remarks>
/// Profiles are applied by Little CMS inside libvips, relative colorimetric with black point compensation. Where the file says
/// exactly paper white (no ink, or all channels full), the result is exactly 255,255,255; where an RGB or gray file says 0, it is
/// 0,0,0: a profile's own rounding must not decide what prints. 16 bits become 8 by rounding value / 257.
/// Pixels are pulled in rows of tiles on the calling thread: libvips starts no threads and writes no temporary files that way.
/// </remarks>
internal static class ConvertedPixels
{
    private const double SixteenToEight = 1 / 257.0;

    // GLib keeps no reference.
    private static readonly Log.LogDelegate Silence = (_, _, _) => { };

    private static readonly Lazy<bool> Started = new(Start);

    /// <summary>Loads the native library and all that its first use opens.</summary>
    public static void Prepare()
    {
        // One pixel of 16-bit RGBA, as a whole TIFF file: it takes the same way as every other file, profile included.
        byte[] file =
        [
            .. "II*\0"u8, 8, 0, 0, 0, 10, 0,
            .. Entry(256, 1), .. Entry(257, 1), .. Entry(258, 16), .. Entry(259, 1), .. Entry(262, 1), .. Entry(273, 134),
            .. Entry(277, 1), .. Entry(278, 1), .. Entry(279, 2), .. Entry(339, 1),
            0, 0, 0, 0, 255, 127,
        ];
        var refusal = new Refusal("");
        var heading = TiffStructure.Read(file, refusal);
        heading.Profile = StatedColors.Gray(IccFile.Power(1.8));
        heading.Exponent = 1.8;
        _ = Decode(file, heading, refusal);

        static byte[] Entry(int tag, int value) => [(byte)tag, (byte)(tag >> 8), 3, 0, 1, 0, 0, 0, (byte)value, 0, 0, 0];
    }

    /// <summary>Decodes a checked file.</summary>
    public static Plane<Rgba8> Decode(ReadOnlyMemory<byte> file, Heading heading, Refusal refusal)
    {
        _ = Started.Value;
        var grid = new TileGrid(heading.Width, heading.Height);
        var tiles = ImmutableArray.CreateBuilder<Tile<Rgba8>>(grid.Count);
        try
        {
            bool deep = heading.Depth == 16;
            // Read where it lies: given as bytes, the library would copy it.
            using var source = Source.NewFromMemory(heading.Shown.Count > 0 ? Changed(file, heading.Shown) : Whole(file));
            using var read = Load(source, heading);
            using var stored = heading.IsExpanded ? Three(read) : read.Copy();
            using var loaded = heading.Alpha == AlphaKind.Premultiplied ? Straight(stored, deep) : stored.Copy();
            int colors = heading.Model switch { ColorModel.Gray => 1, ColorModel.Rgb => 3, _ => 4 };
            // A WebP file's alpha hint needn't be true.
            bool hasAlpha = heading.Format == "WebP" ? loaded.Bands == colors + 1 : heading.Alpha != AlphaKind.None;
            if (loaded.Width != heading.Width || loaded.Height != heading.Height
                || loaded.Bands != colors + (hasAlpha ? 1 : 0)
                || loaded.Format != (deep ? Enums.BandFormat.Ushort : Enums.BandFormat.Uchar))
            {
                throw refusal.Damaged("its pixel data isn't what its header says");
            }

            using var color = heading.Exponent is { } exponent ? Encoded(loaded.ExtractBand(0, colors), exponent, deep) : loaded.ExtractBand(0, colors);
            bool fine = deep || heading.Exponent is not null;
            using var converted = heading.Model == ColorModel.Cmyk || heading.Profile is not null ? ToSrgb(color, heading, fine) : Eight(color, fine);
            using var joined = hasAlpha ? WithAlpha(converted, loaded[colors], deep) : converted.Copy();
            int bands = joined.Bands;
            using var region = NetVips.Region.New(joined);
            for (int top = 0; top < heading.Height; top += TileGrid.Side)
            {
                byte[] rows = region.Fetch(0, top, heading.Width, Math.Min(TileGrid.Side, heading.Height - top));
                PngPixels.AddTiles(grid, tiles, (x, y, pixels) => Expand(rows.AsSpan(bands * ((y * grid.Width) + x), bands * pixels.Length), pixels, bands));
            }
        }
        catch (VipsException e)
        {
            throw refusal.Damaged("its pixel data can't be decoded", e);
        }

        return new Plane<Rgba8>(grid.Width, grid.Height, tiles.MoveToImmutable());
    }

    private static bool Start()
    {
        if (!ModuleInitializer.VipsInitialized)
        {
            throw new InvalidOperationException("The image library can't be loaded.", ModuleInitializer.Exception);
        }

        // Warnings of a slightly wrong file would be printed, with system calls that nothing else needs; failures come as exceptions.
        foreach (string domain in (string[])["VIPS", "GLib", "GLib-GObject", "GLib-GIO"])
        {
            Log.SetLogHandler(domain, Enums.LogLevelFlags.All, Silence);
        }

        // Loaders that libvips itself calls unfit for strangers' files; none is named here either.
        NetVips.NetVips.BlockUntrusted = true;
        NetVips.NetVips.Concurrency = 1;
        Cache.Max = 0;
        return true;
    }

    // Each loader is named, never guessed from the content. Sequential access keeps libvips from making a temporary file.
    private static Image Load(Source source, Heading heading) => heading.Format switch
    {
        // Of JPEG and fax inside it, damage is a warning.
        "TIFF" => Image.TiffloadSource(
            source, page: 0, n: 1, access: Enums.Access.Sequential, failOn: heading.IsPackedLoosely ? Enums.FailOn.Warning : Enums.FailOn.Error),
        "PNG" => Image.PngloadSource(source, access: Enums.Access.Sequential, failOn: Enums.FailOn.Error),
        // Its library goes on behind damage, with pixels that it made up and a warning; what it warns of for less is shown to it mended.
        "JPEG" => Image.JpegloadSource(source, access: Enums.Access.Sequential, failOn: Enums.FailOn.Warning),
        _ => Image.WebploadSource(source, access: Enums.Access.Sequential, failOn: Enums.FailOn.Error),
    };

    // From levels of a power to 16-bit levels of sRGB, by a table: the color engine is up to 50 levels off in dark tones where the exponent is below 1.
    private static Image Encoded(Image color, double exponent, bool deep)
    {
        var levels = new ushort[deep ? 65536 : 256];
        for (int i = 0; i < levels.Length; i++)
        {
            double light = Math.Pow(i / (levels.Length - 1.0), exponent);
            levels[i] = (ushort)Math.Round(Math.Round(65535 * IccProfile.Encode(light), 6), MidpointRounding.AwayFromZero);
        }

        using (color)
        {
            using var table = Image.NewFromMemory(levels, levels.Length, 1, 1, Enums.BandFormat.Ushort);
            using var mapped = color.Maplut(table);
            return mapped.Copy(interpretation: color.Bands == 1 ? Enums.Interpretation.Grey16 : Enums.Interpretation.Rgb16);
        }
    }

    private static Image Three(Image read) => read.Bands switch
    {
        1 => read.Bandjoin(read, read),
        4 => read.ExtractBand(0, 3),
        _ => read.Copy(),
    };

    private static Image ToSrgb(Image color, Heading heading, bool deep)
    {
        // Whatever the loader kept as profile, the one that was judged counts, and no other.
        using var plain = color.Mutate(image =>
        {
            image.Remove("icc-profile-data");
            if (heading.Profile is { } profile)
            {
                image.Set(GValue.BlobType, "icc-profile-data", profile);
            }
        });
        using var source = plain.Bands == 1 && heading.ProfileIsRgb
            ? plain.Bandjoin(plain, plain).Copy(interpretation: deep ? Enums.Interpretation.Rgb16 : Enums.Interpretation.Srgb)
            : plain.Copy();
        using var converted = heading.ProfileIsTable || (!deep && heading.ProfileIsRgb) ? InOneStep(source, heading) : ThroughXyz(source);
        double full = deep ? 65535 : 255;
        using var isPaper = plain.RelationalConst(Enums.OperationRelational.Equal, [heading.Model == ColorModel.Cmyk ? 0 : full]).BandAnd();
        var white = isPaper.Ifthenelse(255, converted);
        if (heading.Model == ColorModel.Cmyk)
        {
            return white;
        }

        using (white)
        {
            using var isBlack = plain.RelationalConst(Enums.OperationRelational.Equal, [0]).BandAnd();
            return isBlack.Ifthenelse(0, white);
        }
    }

    private static Image InOneStep(Image source, Heading heading) =>
        source.IccTransform("srgb", intent: Enums.Intent.Relative, blackPointCompensation: true,
            embedded: heading.Profile is not null, inputProfile: heading.Profile is null ? "cmyk" : null, depth: 8);

    // In one step the color engine makes a table of 33 points a side of any gray curve and of 16-bit RGB, which is 18 levels off in
    // dark tones; with XYZ between, which is linear to both sides, matrix and curves stay exact.
    private static Image ThroughXyz(Image source)
    {
        using var between = source.IccImport(pcs: Enums.PCS.Xyz, intent: Enums.Intent.Relative, blackPointCompensation: true, embedded: true);
        return between.IccExport(pcs: Enums.PCS.Xyz, outputProfile: "srgb", intent: Enums.Intent.Relative, depth: 8);
    }

    // Exact: no 16-bit value lies half-way between two levels, since 257 is odd.
    private static Image Eight(Image image, bool deep)
    {
        if (!deep)
        {
            return image.Copy();
        }

        using var scaled = image.Linear([SixteenToEight], [0]);
        using var rounded = scaled.Rint();
        return rounded.Cast(Enums.BandFormat.Uchar);
    }

    private static Image Straight(Image premultiplied, bool deep)
    {
        using var straight = premultiplied.Unpremultiply(maxAlpha: deep ? 65535 : 255);
        using var rounded = straight.Rint();
        return rounded.Cast(premultiplied.Format).Copy(interpretation: premultiplied.Interpretation);
    }

    private static Image WithAlpha(Image color, Image alpha, bool deep)
    {
        using (alpha)
        {
            using var eight = Eight(alpha, deep);
            return color.Bandjoin(eight);
        }
    }

    // One to four bytes a pixel. Not left to the library: that takes as long again as decoding a JPEG.
    private static void Expand(ReadOnlySpan<byte> row, Span<Rgba8> pixels, int bands)
    {
        switch (bands)
        {
            case 3:
                PngPixels.ExpandRgb(row, MemoryMarshal.Cast<Rgba8, uint>(pixels), 0);
                break;
            case 4:
                MemoryMarshal.Cast<byte, Rgba8>(row).CopyTo(pixels);
                break;
            default:
                for (int x = 0; x < pixels.Length; x++)
                {
                    byte gray = row[bands * x];
                    pixels[x] = new Rgba8(gray, gray, gray, bands == 2 ? row[(2 * x) + 1] : (byte)255);
                }

                break;
        }
    }

    private static byte[] Changed(ReadOnlyMemory<byte> file, List<(int At, byte Value)> shown)
    {
        byte[] changed = file.ToArray();
        foreach (var (at, value) in shown)
        {
            changed[at] = value;
        }

        return changed;
    }

    private static byte[] Whole(ReadOnlyMemory<byte> file) =>
        MemoryMarshal.TryGetArray(file, out var segment) && segment.Offset == 0 && segment.Count == segment.Array!.Length ? segment.Array : file.ToArray();
}
