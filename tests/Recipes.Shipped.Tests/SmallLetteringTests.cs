using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>remove-specks leaves small lettering whole, in ink and left bare, and still takes what isn't lettering.</summary>
public class SmallLetteringTests
{
    private static readonly Rgba8 Navy = new(24, 36, 84);

    private static readonly (string Name, Rgba8 Color, Rgba8? Ground)[] Ways =
    [
        ("white on navy", Rgba8.White, Navy), ("navy on white", Navy, Rgba8.White), ("navy on clear", Navy, null),
        ("white on black", Rgba8.White, Rgba8.Black), ("black on white", Rgba8.Black, Rgba8.White), ("black on orange", Rgba8.Black, new Rgba8(240, 124, 28)),
        ("white on orange", Rgba8.White, new Rgba8(240, 124, 28)), ("orange on white", new Rgba8(240, 124, 28), Rgba8.White),
            ("white on pale", Rgba8.White, new Rgba8(200, 216, 232)),
    ];

    public static TheoryData<string, float> Settings
    {
        get
        {
            var settings = new TheoryData<string, float>();
            foreach (string font in SkiaLettering.Fonts)
            {
                foreach (float points in (float[])[4, 5, 6, 8, 10, 12])
                {
                    settings.Add(font, points);
                }
            }

            return settings;
        }
    }

    [Theory]
    [MemberData(nameof(Settings))]
    public void Lettering_stays_whole(string font, float points)
    {
        SkiaLettering.SkipWithoutFonts();
        var lost = new List<string>();
        foreach (var (name, color, ground) in Ways)
        {
            // Where black stays bare, too, more of each drawing is bare; white on black is a hole only where black prints.
            foreach (var setup in name is "white on black" or "white on navy" ? (GarmentSetup[])[Shelf.Light, Shelf.Black] : [Shelf.Black])
            {
                var pixels = SkiaLettering.Draw(font, points, color, ground);
                pixels.Distinct().Count().ShouldBeGreaterThan(10, "there must be lettering");
                var made = Shelf.Run("remove-specks", Plane(pixels), setup);
                int changed = made.Pixels.Where((pixel, i) => pixel != pixels[i]).Count();
                if (changed > 0 || made.Run.Reporter.Questions.Count > 0)
                {
                    lost.Add($"{name}, {setup.Name}: {changed} px, {made.Run.Reporter.Questions.Count} questions; "
                        + $"{string.Join(' ', made.Run.Reporter.RegionLists.SelectMany(list => list.Regions).Select(region => region.Box).Take(12))}");
                }
            }
        }

        lost.ShouldBeEmpty();
    }

    [Theory]
    [InlineData(6)]
    [InlineData(8)]
    [InlineData(10)]
    [InlineData(12)]
    public void Lone_specks_and_pinholes_among_lettering_go(float points)
    {
        SkiaLettering.SkipWithoutFonts();
        foreach (string font in SkiaLettering.Fonts)
        {
            foreach (var (color, ground, setup) in ((Rgba8, Rgba8, GarmentSetup)[])[
                (Rgba8.White, Navy, Shelf.Light), (Rgba8.White, Navy, Shelf.Black), (Navy, Rgba8.White, Shelf.Light), (Navy, Rgba8.White, Shelf.Black)])
            {
                var clean = SkiaLettering.Draw(font, points, color, ground);
                // Specks print in 5 px, and of pinholes 4.5 px2 are bare; more than a millimeter from everything: 12 px at 300 ppi.
                var places = Free(clean, ground, 12).Where((_, k) => k % 4 == 1).Take(6).ToArray();
                places.Length.ShouldBeGreaterThanOrEqualTo(4);
                var dirty = SkiaLettering.Draw(
                    font, points, color, ground, [.. places.Select(at => (at.X + 0.5f, at.Y + 0.5f, ground == Rgba8.White ? 0.7f : 1.2f, color))]);
                dirty.ShouldNotBe(clean);
                var made = Shelf.Run("remove-specks", Plane(dirty), setup);
                made.ShouldBeClear();
                made.Run.Reporter.Questions.ShouldBeEmpty();
                var after = made.Pixels;
                for (int i = 0; i < after.Length; i++)
                {
                    // A bare ground may be written another way.
                    (after[i] == Rgba8.ClearWhite ? Rgba8.White : after[i])
                        .ShouldBe(clean[i], $"{font} at {i % SkiaLettering.Width},{i / SkiaLettering.Width}");
                }
            }
        }
    }

    // Places with nothing but ground around them, no more than one in each square of 80 px.
    private static IEnumerable<(int X, int Y)> Free(Rgba8[] pixels, Rgba8 ground, int margin)
    {
        for (int top = margin; top + 80 < SkiaLettering.Height; top += 80)
        {
            for (int left = margin; left + 80 < SkiaLettering.Width; left += 80)
            {
                var free = Enumerable.Range(0, 6400).Select(i => (X: left + (i % 80), Y: top + (i / 80)))
                    .Where(at => Enumerable.Range(0, ((2 * margin) + 1) * ((2 * margin) + 1)).All(
                    k => (at.X - margin + (k % ((2 * margin) + 1)), at.Y - margin + (k / ((2 * margin) + 1))) is var (x, y)
                        && x >= 0 && y >= 0 && x < SkiaLettering.Width && y < SkiaLettering.Height && pixels[(y * SkiaLettering.Width) + x] == ground));
                foreach (var at in free.Take(1))
                {
                    yield return at;
                }
            }
        }
    }

    private static Plane<Rgba8> Plane(Rgba8[] pixels) => Plane<Rgba8>.FromContiguous(SkiaLettering.Width, SkiaLettering.Height, pixels);
}
