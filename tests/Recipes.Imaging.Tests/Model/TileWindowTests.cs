using CsCheck;

namespace Recipes.Imaging.Tests;

/// <summary>What is looked for in a window of tiles is what a look at all of them finds. Laws.</summary>
public class TileWindowTests
{
    private const int Side = TileGrid.Side;

    private static readonly Gen<(int Width, int Height, Box Box)> Masks =
        Gen.Select(Gen.Int[1, 5 * Side], Gen.Int[1, 5 * Side], Gen.Int[0, 5 * Side], Gen.Int[0, 5 * Side], Gen.Int[1, 90])
            .Select((width, height, x, y, side) => (width, height, new Box(x % width, y % height, side, side)));

    [Fact]
    public void Around_a_mask_all_of_it_comes_back_and_nothing_else() => Masks.Holds((width, height, box) =>
    {
        var mask = Pictures.Of(width, height, [.. Enumerable.Range(0, width * height)
            .Select(i => box.Contains(i % width, i / width) ? (byte)255 : (byte)0)]).Coverage;
        var window = TileWindow.Around(mask)!;
        var cut = window.Of(mask);
        window.Back(cut).SameSamples(mask).ShouldBeTrue();
        // A pixel of the cut is the one of the plane that lies so much further right and down.
        for (int i = 0; i < 20; i++)
        {
            int x = i * 37 % cut.Width, y = i * 53 % cut.Height;
            cut[x, y].ShouldBe(mask[window.Left + x, window.Top + y]);
        }

        // Beside each tile that holds something lies another one, or the picture's edge.
        (window.Left <= Math.Max(0, box.X - Side) && window.Top <= Math.Max(0, box.Y - Side)).ShouldBeTrue();
        (window.Left + cut.Width >= Math.Min(width, box.Right + Side) && window.Top + cut.Height >= Math.Min(height, box.Bottom + Side)).ShouldBeTrue();
    }, iter: 200);

    [Fact]
    public void Around_nothing_there_is_none() => TileWindow.Around(Plane<byte>.OneValue(300, 200, 0)).ShouldBeNull();

    // Paper around a drawing changes nothing about its black, noise and navy beside it included.
    [Fact]
    public void Black_amid_paper_is_judged_as_it_is_alone()
    {
        var random = new Random(7);
        var noise = new int[200, 160];
        for (int i = 0; i < noise.Length; i++)
        {
            noise[i / 160, i % 160] = random.Next(64);
        }

        var alone = Find.DrawnBlack(Pictures.Art(240, 200, (x, y) => Drawing(x, y)), 13, 3);
        var amid = Find.DrawnBlack(Pictures.Art(240 + (9 * Side), 200 + (7 * Side), (x, y) => Drawing(x - (4 * Side), y - (3 * Side))), 13, 3);
        alone.Drawn.Count.ShouldBeGreaterThan(5000);
        foreach (var (one, other) in new[] { (alone.Drawn, amid.Drawn), (alone.Within, amid.Within), (alone.Scattered, amid.Scattered) })
        {
            other.Count.ShouldBe(one.Count);
            for (int y = 0; y < 200; y++)
            {
                for (int x = 0; x < 240; x++)
                {
                    other.Contains(x + (4 * Side), y + (3 * Side)).ShouldBe(one.Contains(x, y), $"{x},{y}");
                }
            }
        }

        Rgba8 Drawing(int x, int y)
        {
            if (x < 20 || y < 20 || x >= 220 || y >= 180)
            {
                return Rgba8.White;
            }

            int n = noise[x - 20, y - 20];
            return x > 150 ? new Rgba8(14, 22, (byte)(40 + (n & 15)))
                : (x - 90) * (x - 90) + ((y - 100) * (y - 100)) < 3600 ? new Rgba8((byte)(12 + (n & 7)), (byte)(12 + (n >> 3)), 14) : Rgba8.White;
        }
    }
}
