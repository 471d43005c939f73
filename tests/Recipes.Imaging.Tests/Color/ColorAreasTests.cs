namespace Recipes.Imaging.Tests.Color;

/// <summary>Areas of drawings whose areas geometry gives: discs, rings and a triangle, each pixel the mean of 8 x 8 samples.</summary>
public class ColorAreasTests
{
    private const int Side = 400, Samples = 8;
    private static readonly InkRules Light = new(), Black = new() { BlackBare = true };
    private static readonly Rgba8 Wing = new(16, 20, 28), Beak = new(240, 124, 28), Sea = new(40, 116, 160), Belly = new(254, 254, 254);

    // Euclid: a disc is pi r squared, a right triangle half the product of its legs. The puffin's belly lies in its wing; wing, sail
    // and beak lie on paper, or on nothing.
    private static readonly (Rgba8 Color, double Area)[] Truth =
    [
        (Wing, (Math.PI * 100.3 * 100.3) - (Math.PI * 60.7 * 60.7)), (Belly, Math.PI * 60.7 * 60.7), (Sea, 150.5 * 90.25 / 2), (Beak, Math.PI * 30.4 * 30.4),
    ];

    [Theory]
    [InlineData(false, false)]
    [InlineData(true, false)]
    [InlineData(false, true)]
    public void Areas_are_those_of_the_drawing(bool cutOut, bool blackBare)
    {
        var found = ColorAreas.Of(Drawn(cutOut), blackBare ? Black : Light);
        double all = Truth.Sum(shape => shape.Area);
        found.Colors.Select(color => color.Color).ShouldBe(Truth.OrderByDescending(shape => shape.Area).Select(shape => shape.Color));
        foreach (var (color, area) in Truth)
        {
            // 0.5% is a tenth of a pixel around them; counting whole colors alone is off by 1.5 to 3.5%.
            var one = found.Colors.Single(other => other.Color == color);
            one.Pixels.ShouldBe(area, area * 0.005, color.ToString());
            one.Share.ShouldBe(area / all, 0.005);
        }

        found.Others.ShouldBeInRange(0, all * 0.002);
        (found.Colors.Sum(color => color.Pixels) + found.Others).ShouldBe(found.Printed, 1e-6);
    }

    [Fact]
    public void What_is_half_transparent_covers_half()
    {
        var art = Plane<Rgba8>.FromContiguous(100, 40, Enumerable.Range(0, 4000).Select(i => i % 100 < 50 ? Sea : Beak.WithAlpha(153)).ToArray());
        ColorAreas.Of(art, Light).Colors.Select(color => (color.Color, color.Pixels)).ShouldBe([(Sea, 2000), (Beak, 2000 * 153 / 255.0)]);
    }

    [Fact]
    public void Colors_beyond_the_list_are_others_and_nothing_that_prints_has_none()
    {
        var art = Plane<Rgba8>.FromContiguous(120, 50, Enumerable.Range(0, 6000)
            .Select(i => (i % 120 / 20) switch { 0 => Wing, 1 or 2 => Sea, _ => Beak }).ToArray());
        var found = ColorAreas.Of(art, Light, most: 2);
        found.Colors.Select(color => (color.Color, color.Pixels, color.Share)).ShouldBe([(Beak, 3000, 0.5), (Sea, 2000, 0.333333)]);
        found.Others.ShouldBe(1000, 1e-9);
        var bare = ColorAreas.Of(Plane<Rgba8>.OneValue(30, 30, Rgba8.White), Light);
        (bare.Colors.Length, bare.Others, bare.Printed).ShouldBe((0, 0, 0));
    }

    /// <summary>Colors that look alike count as one, and an edge pixel of the rarer one isn't another color; shares are no binary fractions.</summary>
    [Fact]
    public void Where_all_colors_are_listed_no_others_are_left()
    {
        byte[] alphas = [158, 194, 196, 132, 149];
        var art = Plane<Rgba8>.FromContiguous(200, 20, Enumerable.Range(0, 4000).Select(i => i % 40 < 20 ? Rgba8.ClearWhite
            : new Rgba8((byte)(i % 200 / 40 * 50), 40, 200, alphas[i % 200 / 40])).ToArray());
        var found = ColorAreas.Of(art, Light);
        found.Printed.ShouldBe(alphas.Sum(alpha => 400 * alpha / 255.0), 1e-6);
        found.Others.ToString("0.00", System.Globalization.CultureInfo.InvariantCulture).ShouldBe("0.00");
    }

    private static Plane<Rgba8> Drawn(bool cutOut)
    {
        var pixels = new Rgba8[Side * Side];
        for (int i = 0; i < pixels.Length; i++)
        {
            double r = 0, g = 0, b = 0;
            int inked = 0;
            for (int s = 0; s < Samples * Samples; s++)
            {
                var color = At((i % Side) + (((s % Samples) + 0.5) / Samples), (i / Side) + (((s / Samples) + 0.5) / Samples));
                inked += color is null ? 0 : 1;
                (r, g, b) = (r + (color?.R ?? (cutOut ? 0 : 255)), g + (color?.G ?? (cutOut ? 0 : 255)), b + (color?.B ?? (cutOut ? 0 : 255)));
            }

            // Straight alpha: the color of what covers, and how much of the pixel it covers.
            double over = cutOut ? inked : Samples * Samples;
            pixels[i] = over == 0 ? default : new Rgba8(
                Level(r / over), Level(g / over), Level(b / over), Level(255 * over / (Samples * Samples)));
        }

        return Plane<Rgba8>.FromContiguous(Side, Side, pixels);

        static byte Level(double value) => (byte)Math.Round(value);
    }

    private static Rgba8? At(double x, double y) =>
        Within(x, y, 290.2, 130.6, 30.4) ? Beak : Within(x, y, 130.4, 140.7, 60.7) ? Belly : Within(x, y, 130.4, 140.7, 100.3) ? Wing
        : x >= 220.3 && y <= 380.6 && x - 220.3 <= 150.5 && 380.6 - y <= 90.25 * (1 - ((x - 220.3) / 150.5)) ? Sea : null;

    private static bool Within(double x, double y, double atX, double atY, double radius) =>
        ((x - atX) * (x - atX)) + ((y - atY) * (y - atY)) < radius * radius;
}
