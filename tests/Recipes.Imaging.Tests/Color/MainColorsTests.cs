using CsCheck;

namespace Recipes.Imaging.Tests.Color;

/// <summary>Main colors of pictures that were constructed, so that the truth is known.</summary>
public class MainColorsTests
{
    private static readonly InkRules Light = new(), Black = new() { BlackBare = true };

    // Six colors that nobody takes for each other: the primaries and secondaries of sRGB, a step inside.
    private static readonly Rgba8[] Palette =
        [new(224, 32, 32), new(32, 200, 32), new(32, 32, 224), new(224, 216, 32), new(32, 208, 216), new(216, 32, 208)];

    [Fact]
    public void Bands_come_back_exact_and_the_widest_first()
    {
        int[] widths = [150, 90, 60];
        var found = Of(Draw(300, 200, (x, _) => Palette[x < 60 ? 2 : x < 210 ? 0 : 1]), Light);
        found.Select(color => color.Color).ShouldBe([Palette[0], Palette[1], Palette[2]]);
        // One column at each border between bands is an edge.
        found.Select(color => color.Pixels).ShouldBe([(widths[0] - 1) * 200L, (widths[1] - 1) * 200L, widths[2] * 200L]);
        found.Sum(color => color.Share).ShouldBe(1, 2e-6);
    }

    [Fact]
    public void Any_patches_of_the_palette_come_back_with_their_areas() =>
        Gen.Int[0, Palette.Length].Array[6, 30].Holds(patches =>
        {
            // Patches of 40 px in a row, some of them bare; 40 x 40 less an upper left border of at most 1 px.
            var found = Of(Draw(patches.Length * 40, 40, (x, _) => patches[x / 40] == Palette.Length ? Rgba8.White : Palette[patches[x / 40]]), Light);
            var truth = patches.Where(patch => patch < Palette.Length).GroupBy(patch => Palette[patch]).ToDictionary(group => group.Key, group => group.Count());
            found.Length.ShouldBe(truth.Count);
            foreach (var color in found)
            {
                color.Pixels.ShouldBeInRange(truth[color.Color] * 39 * 40L, truth[color.Color] * 40 * 40L);
            }

            found.Zip(found.Skip(1)).ShouldAllBe(pair => pair.First.Pixels >= pair.Second.Pixels);
        }, iter: 60);

    [Fact]
    public void What_stays_bare_or_hardly_covers_is_no_color()
    {
        var art = Draw(120, 60, (x, _) => (x / 20) switch
        {
            0 => Rgba8.White, 1 => Rgba8.Black, 2 => Palette[0].WithAlpha(0), 3 => Palette[1].WithAlpha(100), 4 => Palette[2].WithAlpha(200), _ => new Rgba8(254, 254, 254),
        });
        Of(art, Light).Select(color => color.Color).ShouldBe([Rgba8.Black, Palette[2], new Rgba8(254, 254, 254)], ignoreOrder: true);
        Of(art, Black).Select(color => color.Color).ShouldBe([Palette[2], new Rgba8(254, 254, 254)], ignoreOrder: true);
        Of(Plane<Rgba8>.OneValue(30, 30, Rgba8.White), Light).ShouldBeEmpty();
    }

    [Fact]
    public void Levels_of_noise_around_a_color_are_that_color()
    {
        var random = new Random(11);
        Rgba8 Noisy(Rgba8 color) => new((byte)(color.R + random.Next(-3, 4)), (byte)(color.G + random.Next(-3, 4)), (byte)(color.B + random.Next(-3, 4)));
        // Half of the pixels have the color itself, as in a JPEG of flat art.
        var found = Of(Draw(200, 100, (x, y) => (x + y) % 2 == 0 ? Palette[x / 100 * 2] : Noisy(Palette[x / 100 * 2])), Light);
        found.Select(color => color.Color).ShouldBe([Palette[0], Palette[2]], ignoreOrder: true);
    }

    [Fact]
    public void Mixes_on_edges_are_no_colors()
    {
        // Discs with 8 x 8 samples a px: a tenth of the picture's px are mixes.
        var art = Draw(240, 240, (x, y) =>
        {
            int inside = 0;
            for (int i = 0; i < 64; i++)
            {
                double u = ((x + ((i % 8 + 0.5) / 8)) % 24.37) - 12, v = ((y + ((i / 8 + 0.5) / 8)) % 24.61) - 12;
                inside += (u * u) + (v * v) < 81 ? 1 : 0;
            }

            byte Mix(byte a, byte b) => (byte)Math.Round(((a * inside) + (b * (64 - inside))) / 64.0);
            return new Rgba8(Mix(20, 240), Mix(20, 140), Mix(24, 40));
        });
        art.ToContiguous().Distinct().Count().ShouldBeGreaterThan(20);
        Of(art, Light).Select(color => color.Color).ShouldBe([new Rgba8(20, 20, 24), new Rgba8(240, 140, 40)], ignoreOrder: true);
    }

    [Fact]
    public void A_pattern_of_nothing_but_edges_still_has_its_colors() =>
        Of(Draw(64, 64, (x, y) => Palette[(x + y) % 2 * 4]), Light).Select(color => (color.Color, color.Pixels, color.Share))
            .ShouldBe([(Palette[4], 2048L, 0.5), (Palette[0], 2048L, 0.5)]);

    // CIEDE2000 itself is held to published pairs in Ciede2000Tests; here only which side of the limit.
    [Theory]
    [InlineData(0xE0, 0x78, 0x20, 0xE2, 0x7C, 0x24, 1)]
    [InlineData(0xE0, 0x78, 0x20, 0xE0, 0xA0, 0x20, 2)]
    public void Colors_that_look_alike_are_one(int r1, int g1, int b1, int r2, int g2, int b2, int count)
    {
        Rgba8 first = new((byte)r1, (byte)g1, (byte)b1), second = new((byte)r2, (byte)g2, (byte)b2);
        (Ciede2000.Difference(LabSpace.D50.Of(first), LabSpace.D50.Of(second)) <= MainColors.Alike).ShouldBe(count == 1);
        var found = Of(Draw(100, 40, (x, _) => x < 60 ? first : second), Light);
        found.Length.ShouldBe(count);
        found[0].Color.ShouldBe(first);
    }

    [Fact]
    public void The_list_is_as_long_as_asked_for_and_leaves_out_what_is_hardly_there()
    {
        var art = Draw(300, 100, (x, y) => x < 4 && y < 4 ? Palette[5] : Palette[x / 60]);
        Of(art, Light).Length.ShouldBe(5);
        Of(art, Light, most: 2).Length.ShouldBe(2);
    }

    private static Plane<Rgba8> Draw(int width, int height, Func<int, int, Rgba8> color) =>
        Plane<Rgba8>.FromContiguous(width, height, Enumerable.Range(0, width * height).Select(i => color(i % width, i / width)).ToArray());

    [Fact]
    public void A_pixel_belongs_to_the_main_color_that_it_looks_like_or_to_none()
    {
        var found = MainColors.Of(Draw(300, 200, (x, _) => Palette[x < 60 ? 2 : x < 210 ? 0 : 1]), Light);
        found.Printed.ShouldBe(300 * 200);
        Palette.Select(color => found.IndexOf(color)).ShouldBe([0, 1, 2, -1, -1, -1]);
    }

    private static System.Collections.Immutable.ImmutableArray<MainColor> Of(Plane<Rgba8> flat, InkRules rules, int most = 8) => MainColors.Of(flat, rules, most).Colors;
}
