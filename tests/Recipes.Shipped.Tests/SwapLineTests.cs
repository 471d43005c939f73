using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>swap-color on thin lines, each drawn once in the old and once in the new color by the mean of 16 x 16 points in a pixel.</summary>
public class SwapLineTests
{
    private const int Width = 120, Height = 60, Points = 16;
    private static readonly Rgba8 Old = new(200, 30, 40), New = new(20, 90, 170), Paper = Rgba8.White, Sea = new(40, 120, 160), Sand = new(225, 205, 160);

    // The usual widths of vector lines at 300 ppi, as they lie between rows.
    public static TheoryData<double, double, string> Lines
    {
        get
        {
            var data = new TheoryData<double, double, string>();
            foreach (double width in (double[])[1, 1.3, 1.5, 1.7])
            {
                foreach (double offset in (double[])[0, 0.25, 0.5])
                {
                    foreach (string ground in (string[])["paper", "sea", "sand"])
                    {
                        data.Add(width, offset, ground);
                    }
                }
            }

            return data;
        }
    }

    public static TheoryData<double, double> Slants
    {
        get
        {
            var data = new TheoryData<double, double>();
            foreach (double width in (double[])[0.6, 0.7, 0.8, 0.9, 0.95, 1, 1.2])
            {
                foreach (double degrees in (double[])[3, 10, 17, 25, 38])
                {
                    data.Add(width, degrees);
                }
            }

            return data;
        }
    }

    [Theory]
    [MemberData(nameof(Lines))]
    public void A_level_line_is_taken_whole(double width, double offset, string ground)
    {
        var on = ground switch { "paper" => Paper, "sea" => Sea, _ => Sand };
        foreach (bool upright in (bool[])[false, true])
        {
            var (made, _, due) = Swapped((x, y) => Math.Abs((upright ? x : y) - 30 - offset) <= width / 2 && (upright ? y : x) is > 10 and < 50, on);
            Furthest(made, due).ShouldBeLessThanOrEqualTo(2);
        }
    }

    [Theory]
    [MemberData(nameof(Slants))]
    public void A_slanted_line_is_taken_whole_or_left_whole(double width, double degrees)
    {
        double slope = Math.Tan(degrees * Math.PI / 180), across = Math.Cos(degrees * Math.PI / 180);
        var (made, old, due) = Swapped((x, y) => x is > 8 and < 112 && Math.Abs((y - 8) - ((x - 8) * slope)) * across <= width / 2 && y < 54, Paper);
        // Of the pixels that hold more than a tenth of the color, how many took at least half of the way.
        int moved = 0, all = 0;
        for (int i = 0; i < made.Length; i++)
        {
            int way = old[i].LargestDifference(due[i]);
            if (way >= 18)
            {
                all++;
                moved += made[i].LargestDifference(due[i]) <= way / 2 ? 1 : 0;
            }
        }

        all.ShouldBeGreaterThan(60);
        (moved == 0 || moved >= all * 0.97).ShouldBeTrue($"{moved} of {all}");
        // From 1 px on, it's the color's.
        (moved > 0 || width < 1).ShouldBeTrue($"{moved} of {all}");
    }

    /// <summary>A line that is left whole is listed with the box that it was drawn in, and one that is taken isn't.</summary>
    [Theory]
    [InlineData(0.5, 10, true)]
    [InlineData(0.6, 25, true)]
    [InlineData(0.7, 3, true)]
    [InlineData(0.8, 0, true)]
    [InlineData(1, 17, false)]
    [InlineData(1.2, 38, false)]
    [InlineData(1.5, 0, false)]
    public void A_line_that_stays_is_named(double width, double degrees, bool stays)
    {
        double slope = Math.Tan(degrees * Math.PI / 180), across = Math.Cos(degrees * Math.PI / 180);
        bool Inside(double x, double y) => x is > 8 and < 112 && Math.Abs((y - 8.5) - ((x - 8) * slope)) * across <= width / 2 && y < 54;
        var made = Run(Drawn(Inside, Paper, Old));
        var listed = made.Run.Reporter.RegionLists.SelectMany(list => list.Regions).ToArray();
        if (!stays)
        {
            listed.ShouldBeEmpty();
            return;
        }

        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
        var found = listed.Aggregate(new Box(0, 0, 0, 0), (box, region) => box.Around(region.Box));
        double right = Math.Min(112, degrees == 0 ? 112 : 8 + ((54 - 8.5) / slope));
        found.X.ShouldBeInRange(6, 12);
        found.Right.ShouldBeInRange((int)right - 5, (int)right + 2);
        listed.ShouldAllBe(region => !region.Chosen);
        made.Run.Reporter.Notes.ShouldContain(note => note.Contains("stay", StringComparison.Ordinal) && note.Contains("whole", StringComparison.Ordinal));
    }

    /// <summary>Soft shading toward the paper is no thin line.</summary>
    [Fact]
    public void A_gradient_is_no_line_that_stays()
    {
        var made = Run(Pixels((x, y) => y > 44 ? Old : Mix(Paper, Old, Math.Clamp((x - 10) / 100.0, 0, 1))));
        made.Run.Reporter.RegionLists.SelectMany(list => list.Regions).ShouldBeEmpty();
    }

    [Fact]
    public void Two_rows_of_a_paler_color_that_the_art_holds_elsewhere_stay()
    {
        var paler = new Rgba8(214, 87, 94);
        Rgba8 Draw(int x, int y, Rgba8 color) => y is 20 or 21 ? paler : x < 30 && y > 40 ? paler : x > 60 && y > 40 ? color : Paper;
        var old = Pixels((x, y) => Draw(x, y, Old));
        Swap(old).ShouldBe(Pixels((x, y) => Draw(x, y, New)));
    }

    private static (Rgba8[] Made, Rgba8[] Old, Rgba8[] Due) Swapped(Func<double, double, bool> inside, Rgba8 ground)
    {
        Rgba8[] old = Drawn(inside, ground, Old), due = Drawn(inside, ground, New);
        return (Swap(old), old, due);
    }

    private static Rgba8[] Drawn(Func<double, double, bool> inside, Rgba8 ground, Rgba8 color) => Pixels((x, y) =>
    {
        int hits = 0;
        for (int k = 0; k < Points * Points; k++)
        {
            hits += inside(x + (((k % Points) + 0.5) / Points), y + (((k / Points) + 0.5) / Points)) ? 1 : 0;
        }

        return Mix(ground, color, hits / (double)(Points * Points));
    });

    private static Rgba8[] Pixels(Func<int, int, Rgba8> color) => [.. Enumerable.Range(0, Width * Height).Select(i => color(i % Width, i / Width))];

    private static Rgba8[] Swap(Rgba8[] pixels) => Run(pixels).Pixels;

    private static Outcome Run(Rgba8[] pixels) => Shelf.Run(
        "swap-color", Plane<Rgba8>.FromContiguous(Width, Height, pixels), Shelf.Light, ("from", $"{Old}"), ("to", $"{New}"));

    private static int Furthest(Rgba8[] one, Rgba8[] other) => one.Zip(other, (a, b) => a.LargestDifference(b)).Max();

    private static Rgba8 Mix(Rgba8 one, Rgba8 other, double share)
    {
        return new Rgba8(At(one.R, other.R), At(one.G, other.G), At(one.B, other.B));

        byte At(byte from, byte to) => (byte)Math.Round(from + (share * (to - from)), MidpointRounding.AwayFromZero);
    }
}
