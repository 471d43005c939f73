using System.Globalization;
using System.Text.RegularExpressions;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>Small type drawn by SkiaSharp in the fonts of Debian's fonts-dejavu-core: thin strokes are named at the printed size, bold ones aren't.</summary>
public class SmallTypeTests
{
    private static readonly Rgba8 Navy = new(24, 36, 84), Sail = new(254, 254, 254);

    private static readonly (Rgba8 Color, Rgba8? Ground, GarmentSetup Setup)[] Ways =
    [
        (Navy, null, Shelf.Light), (Navy, Rgba8.White, Shelf.Light), (Rgba8.Black, Rgba8.White, Shelf.Light), (Sail, null, Shelf.Black),
        (Sail, Rgba8.Black, Shelf.Black), (new Rgba8(240, 200, 60), null, Shelf.Black),
    ];

    [Theory]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    public void Small_type_is_named_with_its_size(float points)
    {
        SkiaLettering.SkipWithoutFonts();
        foreach (string font in new[] { "DejaVuSans", "DejaVuSerif" })
        {
            foreach (var (color, ground, setup) in Ways)
            {
                var finding = Check(font, points, color, ground, setup).ShouldNotBeNull($"{font}, {points} pt, {color} on {ground}");
                finding.Box.ShouldNotBeNull();
                // From the font's own tables: x-height 0.55 em and capitals 0.73 em; brackets and descenders reach 0.95. Anti-aliasing adds or takes
                // up to 2 px.
                double[] sizes = [.. Regex.Matches(finding.Message, @"\(([\d.]+) pt\)")
                    .Select(match => double.Parse(match.Groups[1].Value, CultureInfo.InvariantCulture))];
                sizes.Length.ShouldBe(2, finding.Message);
                sizes[0].ShouldBeInRange((0.55 * points) - 0.48, (0.95 * points) + 0.48, finding.Message);
                // Stems of both fonts are 0.09 em wide, hairlines of the serif 0.04 em; a stroke below 1 px is seen as one.
                sizes[1].ShouldBeInRange(0.04 * points, (0.11 * points) + 0.12, finding.Message);
            }
        }
    }

    [Theory]
    [InlineData(8)]
    [InlineData(10)]
    [InlineData(12)]
    [InlineData(16)]
    [InlineData(24)]
    public void Bold_type_is_not(float points)
    {
        SkiaLettering.SkipWithoutFonts();
        foreach (var (color, ground, setup) in Ways)
        {
            // The stroke of the percent sign is no stem: at 8 pt it is a line of 2 px over 2 mm, and is named as such.
            var finding = Check("DejaVuSans-Bold", points, color, ground, setup);
            (finding?.Message ?? "").ShouldNotContain("letters");
            (finding?.Pixels ?? 0).ShouldBeLessThanOrEqualTo(points <= 8 ? 100 : 0, $"{points} pt, {color} on {ground}");
        }
    }

    /// <summary>The same pixels at another size are other type: 12 pt at 300 ppi is 2.4 pt at 1,500.</summary>
    [Fact]
    public void The_printed_size_decides()
    {
        SkiaLettering.SkipWithoutFonts();
        var pixels = SkiaLettering.Draw("DejaVuSans-Bold", 12, Navy, Rgba8.White);
        var plane = Plane<Rgba8>.FromContiguous(SkiaLettering.Width, SkiaLettering.Height, pixels);
        ArtCheck.Of(Artwork.FromPixels(plane, 300), Shelf.Light).Findings.ShouldNotContain(finding => finding.Code == "thin-lines");
        ArtCheck.Of(Artwork.FromPixels(plane, 1500), Shelf.Light).Findings.ShouldContain(finding => finding.Code == "thin-lines");
    }

    /// <summary>Where black drops and white stays bare, what prints of the edge between them lies in pieces as small as letters.</summary>
    [Fact]
    public void The_edge_between_dropped_black_and_bare_white_is_no_type()
    {
        const int side = 480, samples = 4;
        var pixels = Enumerable.Range(0, side * side).Select(i =>
        {
            int white = Enumerable.Range(0, samples * samples).Count(k =>
            {
                double x = (i % side) + (((k % samples) + 0.5) / samples) - 240.3, y = (i / side) + (((k / samples) + 0.5) / samples) - 239.6;
                double far = (x * x) + (y * y * 0.7);
                return far > 200 * 200 || far < 120 * 120;
            });
            byte gray = (byte)(255 * white / (samples * samples));
            return new Rgba8(gray, gray, gray);
        });
        var findings = ArtCheck.Of(Artwork.FromPixels(Plane<Rgba8>.FromContiguous(side, side, pixels.ToArray()), 300), Shelf.Black).Findings;
        findings.ShouldContain(finding => finding.Code == "enclosed-white");
        findings.ShouldNotContain(finding => finding.Message.Contains("letters", StringComparison.Ordinal));
    }

    private static Finding? Check(string font, float points, Rgba8 color, Rgba8? ground, GarmentSetup setup)
    {
        var pixels = SkiaLettering.Draw(font, points, color, ground);
        var art = Artwork.FromPixels(Plane<Rgba8>.FromContiguous(SkiaLettering.Width, SkiaLettering.Height, pixels), 300);
        return ArtCheck.Of(art, setup).Findings.FirstOrDefault(finding => finding.Code == "thin-lines");
    }
}
