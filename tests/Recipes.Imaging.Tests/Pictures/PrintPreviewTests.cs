using CsCheck;
using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Tests;

public class PrintPreviewTests
{
    private static readonly GarmentSetup Black = new() { Name = "black", PlatenWidth = 14, PlatenHeight = 16, Garment = Rgba8.Black, Ink = new InkRules { BlackBare = true } };

    private static readonly Gen<Rgba8> Color = Gen.Select(Gen.Byte, Gen.Byte, Gen.Byte, Gen.Byte, (r, g, b, a) => new Rgba8(r, g, b, a));

    private static Rgba8 Show(Rgba8 ink, Rgba8 cloth, byte white) => PrintPreview.Render(
        Plane<Rgba8>.OneValue(1, 1, ink), Black with { Garment = cloth }, Plane<byte>.OneValue(1, 1, white))[0, 0];

    [Fact]
    public void No_ink_is_exactly_fabric() => Color.Holds(cloth =>
    {
        foreach (var bare in new[] { Rgba8.White, Rgba8.Black, new Rgba8(1, 2, 3, 0) })
        {
            Show(bare, cloth, 0).ShouldBe(cloth.WithAlpha(255));
        }
    });

    [Fact]
    public void More_underbase_is_never_darker_on_dark_cloth() =>
        Gen.Select(Color, Gen.Byte, Gen.Byte, Gen.Byte[0, 100]).Holds((ink, a, b, gray) =>
        {
            var cloth = new Rgba8(gray, gray, gray);
            Rgba8 less = Show(ink, cloth, Math.Min(a, b)), more = Show(ink, cloth, Math.Max(a, b));
            (more.R >= less.R && more.G >= less.G && more.B >= less.B).ShouldBeTrue();
        });

    [Fact]
    public void Ink_on_bare_cloth_is_a_filter_and_never_lighter_than_it() =>
        Gen.Select(Color, Color).Where((ink, cloth) => !IsDark(ink, 48) || !IsDark(cloth, 96)).Holds((ink, cloth) =>
    {
        var shown = Show(ink, cloth, 0);
        (shown.R <= cloth.R && shown.G <= cloth.G && shown.B <= cloth.B).ShouldBeTrue();
    });

    private static bool IsDark(Rgba8 color, int most) => Math.Max(color.R, Math.Max(color.G, color.B)) <= most;

    // Ink that can't be told from the cloth on the screen can be on the garment: it is dull, and stiff to the hand (common practice, no source).
    [Fact]
    public void Printed_near_black_shows_on_black_cloth() => Gen.Select(Gen.Byte[1, 48], Gen.Byte[0, 48], Gen.Byte[0, 40]).Holds((level, other, gray) =>
    {
        var cloth = new Rgba8(gray, gray, gray);
        foreach (var ink in new[] { new Rgba8(level, other, other), new Rgba8(level, level, level) })
        {
            Show(ink, cloth, 0).LargestDifference(cloth).ShouldBeGreaterThanOrEqualTo(12, $"{ink} on {cloth}");
        }

        Show(Rgba8.Black, cloth, 0).ShouldBe(cloth);
    });

    // What prints and what has white under it looks the same with marks; every 8 x 8 px of bare cloth shows them.
    [Fact]
    public void Marks_are_on_bare_cloth_and_nowhere_else()
    {
        const int side = 150;
        bool Ink(int x, int y) => x is >= 40 and < 90 && y is >= 30 and < 140;
        bool White(int x, int y) => x is >= 100 and < 120 && y is >= 30 and < 60;
        var flat = Plane<Rgba8>.FromContiguous(side, side, Enumerable.Range(0, side * side).Select(i => Ink(i % side, i / side) ? new Rgba8(34, 92, 140) : i % 2 == 0 ? Rgba8.White : Rgba8.Black).ToArray());
        var white = Plane<byte>.FromContiguous(side, side, Enumerable.Range(0, side * side).Select(i => White(i % side, i / side) ? (byte)90 : (byte)0).ToArray());
        foreach (var cloth in new[] { Rgba8.White, Rgba8.Black, new Rgba8(20, 60, 30) })
        {
            var setup = Black with { Garment = cloth };
            Plane<Rgba8> plain = PrintPreview.Render(flat, setup, white), marked = PrintPreview.Render(flat, setup, white, markBare: true);
            var marks = new HashSet<(int, int)>();
            for (int i = 0; i < side * side; i++)
            {
                var (x, y) = (i % side, i / side);
                bool differs = marked[x, y] != plain[x, y];
                (differs && (Ink(x, y) || White(x, y))).ShouldBeFalse($"{x},{y}");
                if (differs)
                {
                    marks.Add((x / 8, y / 8));
                }
            }

            for (int v = 0; v + 8 <= side; v += 8)
            {
                for (int u = 0; u + 8 <= side; u += 8)
                {
                    bool bare = Enumerable.Range(0, 64).All(k => !Ink(u + (k % 8), v + (k / 8)) && !White(u + (k % 8), v + (k / 8)));
                    (bare && !marks.Contains((u / 8, v / 8))).ShouldBeFalse($"{u},{v} on {cloth}");
                }
            }
        }
    }

    // Kubelka-Munk table, SX 4 on black of reflectance 0.03 gives 0.78838; Values/white_ink_kubelka_munk.csv. 48 is linear 0.0296.
    [Fact]
    public void White_on_a_solid_is_what_the_table_says() =>
        Srgb.ToLinear(Show(new Rgba8(255, 255, 254), new Rgba8(48, 48, 48), 255).R).ShouldBe(0.78838, 0.004);
}
