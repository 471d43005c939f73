namespace Recipes.Imaging.Tests.Mixes;

/// <summary>Rims: how deep a rim is, and what has none.</summary>
public class RimTests
{
    private const int Side = 300;
    private static readonly Rgba8 Sea = new(34, 92, 140);

    private static Region Outside(Func<double, Rgba8> byDistance)
    {
        // A disc: a color for each distance from its middle, sampled 3 x 3 times in a pixel.
        var pixels = Enumerable.Range(0, Side * Side).Select(i =>
        {
            double red = 0, green = 0, blue = 0, alpha = 0;
            for (int k = 0; k < 9; k++)
            {
                double x = (i % Side) + ((k % 3 * 2) + 1) / 6.0 - 150, y = (i / Side) + ((k / 3 * 2) + 1) / 6.0 - 150;
                var pixel = byDistance(Math.Sqrt((x * x) + (y * y)));
                (red, green, blue, alpha) = (red + (pixel.R * pixel.A), green + (pixel.G * pixel.A), blue + (pixel.B * pixel.A), alpha + pixel.A);
            }

            return alpha == 0 ? default
                : new Rgba8((byte)Math.Round(red / alpha), (byte)Math.Round(green / alpha), (byte)Math.Round(blue / alpha), (byte)Math.Round(alpha / 9));
        });
        var art = Plane<Rgba8>.FromContiguous(Side, Side, pixels.ToArray());
        return Find.Outside(art, Rgba8.White);
    }

    private static Rgba8 Mix(double share) =>
        new((byte)Math.Round((34 * share) + (255 * (1 - share))), (byte)Math.Round((92 * share) + (255 * (1 - share))),
        (byte)Math.Round((140 * share) + (255 * (1 - share))));

    [Theory]
    [InlineData(3)]
    [InlineData(6)]
    [InlineData(12)]
    [InlineData(18)]
    public void A_fade_to_white_that_was_cut_hard_is_a_rim_as_deep_as_the_fade(int px)
    {
        var rim = Rims.Of(Outside(far => far > 100 ? default : Mix(Math.Min(1, (100 - far) / px))), Rgba8.White, RimSearch.At(300));
        rim.IsEmpty.ShouldBeFalse();
        // The last tenth of the fade is hardly white.
        rim.Depth.ShouldBeInRange((0.8 * px) - 1, px + 2);
        rim.Region.Contains(150, 150).ShouldBeFalse();
    }

    [Fact]
    public void No_rim_is_deeper_than_asked_for()
    {
        var outside = Outside(far => far > 100 ? default : Mix(Math.Min(1, (100 - far) / 10)));
        var rim = Rims.Of(outside, Rgba8.White, RimSearch.At(300) with { Deepest = 3 });
        rim.Region.Intersect(outside.Spread(6).Complement()).IsEmpty.ShouldBeTrue();
    }

    [Fact]
    public void What_goes_on_into_the_art_is_a_drawn_fade()
    {
        var rim = Rims.Of(Outside(far => far > 120 ? default : Mix((120 - far) / 120)), Rgba8.White, RimSearch.At(300));
        rim.Mixed.IsEmpty.ShouldBeTrue();
    }

    [Theory]
    [InlineData(6)]
    [InlineData(14)]
    [InlineData(22)]
    public void A_band_with_an_edge_as_clean_as_the_arts_is_drawn(int px)
    {
        var rim = Rims.Of(Outside(far => far > 100 ? default : far > 100 - px ? Rgba8.White : Sea), Rgba8.White, RimSearch.At(300));
        rim.IsEmpty.ShouldBeTrue();
        var band = rim.Band.ShouldNotBeNull();
        (band.IsDrawn, band.IsDoubtful).ShouldBe((true, true));
        band.Width.ShouldBe(px, 1.0);
    }

    [Fact]
    public void White_art_beside_ink_is_no_band()
    {
        // A white disc of 120 px with a small dark one in its middle: deeper than any rim.
        Rims.Of(Outside(far => far > 120 ? default : far > 40 ? Rgba8.White : Sea), Rgba8.White, RimSearch.At(300)).ShouldSatisfyAllConditions(
            rim => rim.IsEmpty.ShouldBeTrue(), rim => rim.Band.ShouldBeNull());
    }

    [Fact]
    public void Multiplied_colors_are_a_rim_of_black_and_plain_ones_none()
    {
        var red = new Rgba8(200, 30, 40);
        var outside = Outside(far => far > 100 ? default : red);
        Rims.Other(outside, Rgba8.White, RimSearch.At(300)).ShouldBeNull();
        var art = outside.FoundIn;
        var dark = Plane<Rgba8>.FromContiguous(Side, Side, art.ToContiguous().Select(pixel =>
            new Rgba8((byte)(pixel.R * pixel.A / 255), (byte)(pixel.G * pixel.A / 255), (byte)(pixel.B * pixel.A / 255), pixel.A)).ToArray());
        var rim = Rims.Other(Find.Outside(dark, Rgba8.White), Rgba8.White, RimSearch.At(300)).ShouldNotBeNull();
        (rim.Background, rim.IsMultiplied, rim.Paper.IsEmpty).ShouldBe((Rgba8.Black, true, true));
        // The fault is the file's, and nobody is asked about it.
        var setup = new GarmentSetup { Name = "s", PlatenWidth = 14, PlatenHeight = 16, Garment = Rgba8.White };
        RimQuestions.Of(null, rim, RimSearch.At(300), setup).ShouldBeEmpty();
    }

    // Five letters of 80 x 100 px, strokes of 26 px: a bar, and an O whose hole is 10 px wide but where it is to be wider; on paper, and cut
    // out hard 8 px outside of what is ink. Only a wide hole is clear in its middle.
    private static Region Letters(int hole)
    {
        bool Ink(int x, int y)
        {
            int u = (x - 30) % 110, v = y - 30, letter = (x - 30) / 110;
            bool open = u >= 26 && u < 26 + hole && v is >= 26 and < 74;
            return x >= 30 && letter < 5 && v is >= 0 and < 100 && (letter % 2 == 1 ? u is >= 0 and < 26 : u >= 0 && u < 52 + hole && !open);
        }

        bool Near(int x, int y) =>
            Enumerable.Range(0, 17 * 17).Any(k => ((k % 17) - 8) is var u && ((k / 17) - 8) is var v && (u * u) + (v * v) <= 64 && Ink(x + u, y + v));
        var pixels = Enumerable.Range(0, 620 * 160).Select(i => Ink(i % 620, i / 620) ? Sea : Near(i % 620, i / 620) ? Rgba8.White : default);
        return Find.Outside(Plane<Rgba8>.FromContiguous(620, 160, pixels.ToArray()), Rgba8.White);
    }

    [Fact]
    public void Paper_in_narrow_holes_of_lettering_goes_with_the_paper_around_it_and_is_asked_about()
    {
        // Cut without anti-aliasing, paper can't be told from an outline; said to be paper, it goes.
        var rim = Rims.Of(Letters(10), Rgba8.White, RimSearch.At(300) with { TakeBand = true });
        rim.Paper.Contains(30 + 31, 80).ShouldBeTrue();
        rim.Band.ShouldNotBeNull().IsDoubtful.ShouldBeTrue();
        rim.Band.Region.Contains(30 + 31, 80).ShouldBeTrue();
        // Told to stay, it stays.
        Rims.Of(Letters(10), Rgba8.White, RimSearch.At(300) with { TakeBand = false }).Paper.IsEmpty.ShouldBeTrue();
    }

    [Fact]
    public void White_type_on_a_panel_is_no_hole()
    {
        // Strokes of 8 px on a navy panel that was cut out with 8 px of paper around it.
        var pixels = Enumerable.Range(0, 400 * 200).Select(i => (X: i % 400, Y: i / 400)).Select(at =>
            at.X is >= 20 and < 380 && at.Y is >= 20 and < 180
                ? at.X is >= 40 and < 360 && at.Y is >= 50 and < 150 && at.X % 24 < 8 ? Rgba8.White : Sea
                : at.X is >= 12 and < 388 && at.Y is >= 12 and < 188 ? Rgba8.White : default);
        var outside = Find.Outside(Plane<Rgba8>.FromContiguous(400, 200, pixels.ToArray()), Rgba8.White);
        var rim = Rims.Of(outside, Rgba8.White, RimSearch.At(300) with { TakeBand = true });
        rim.Paper.IsEmpty.ShouldBeFalse();
        rim.Region.Intersect(Find.Outside(rim.Paper.FoundIn, new Box(20, 20, 360, 160)).Complement()).IsEmpty.ShouldBeTrue();
    }

    [Fact]
    public void A_line_whose_edges_sharpening_made_darker_keeps_its_own_color()
    {
        // 5 px wide, a px on both sides overshot; the paper lies on both sides.
        var outside = Outside(far => far is > 100 or < 95 ? Rgba8.White : far is > 99 or < 96 ? new Rgba8(18, 108, 5) : new Rgba8(70, 140, 60));
        var rim = Rims.Of(outside, Rgba8.White, RimSearch.At(300));
        int[] middle = [.. Enumerable.Range(0, Side * Side).Where(i =>
            Math.Sqrt(Math.Pow((i % Side) - 149.5, 2) + Math.Pow((i / Side) - 149.5, 2)) is > 97.2 and < 97.8)];
        // A px here and there has too few like it beside it.
        (middle.Count(i => rim.Region.Contains(i % Side, i / Side)) * 10).ShouldBeLessThan(middle.Length);
    }

    [Theory]
    [InlineData(1, 1)]
    [InlineData(40, 30)]
    [InlineData(300, 140)]
    public void A_contour_is_every_pixel_beside_the_region(int width, int height)
    {
        // Against the definition, asked of every pixel; patches of noise, seed 3.
        var random = new Random(3);
        var region = Enumerable.Range(0, width * height).Select(i => random.NextDouble() < (i / 37 % 3) * 0.2 ? (byte)255 : (byte)0).ToArray();
        bool In(int x, int y) => x >= 0 && y >= 0 && x < width && y < height && region[(y * width) + x] != 0;
        var expected = Enumerable.Range(0, width * height).Where(i => !In(i % width, i / width)
            && Enumerable.Range(0, 9).Any(k => In((i % width) + (k % 3) - 1, (i / width) + (k / 3) - 1)));
        Contour.Of(Plane<byte>.FromContiguous(width, height, region)).ShouldBe(expected);
    }
}
