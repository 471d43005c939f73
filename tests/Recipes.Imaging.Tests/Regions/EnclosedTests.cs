using CsCheck;

namespace Recipes.Imaging.Tests;

public class EnclosedTests
{
    // White, both sides of the default 24, ink, half-transparent white and ink, transparent of two colors.
    private static readonly Rgba8[] Palette =
    [
        Rgba8.White, new(231, 231, 231), new(230, 255, 255), new(20, 40, 90), new(255, 255, 255, 128), new(20, 40, 90, 128),
        Rgba8.ClearWhite, new(20, 40, 90, 0),
    ];

    private static Gen<Plane<Rgba8>> Arts(params int[] weights)
    {
        int[] bag = [.. weights.SelectMany((weight, color) => Enumerable.Repeat(color, weight))];
        return Gen.Select(Gen.Int[1, 24], Gen.Int[1, 24]).SelectMany((w, h) => Gen.Int[0, bag.Length - 1].Array[w * h]
            .Select(picks => Pictures.Art(w, h, (x, y) => Palette[bag[picks[(y * w) + x]]])));
    }

    private static readonly Gen<Plane<Rgba8>> AnyArt = Gen.OneOf(
        Arts(8, 2, 1, 6, 2, 1, 0, 0), Arts(8, 1, 1, 4, 2, 1, 6, 2), Arts(3, 1, 1, 3, 1, 1, 12, 4), Arts(1, 1, 1, 1, 1, 1, 1, 1));

    // contract.md, "Enclosed", written again as a plain queue of pixels; on colored paper it passes that, and no pure white (docs/check.md).
    private static bool[,] Outside(Plane<Rgba8> art, int near)
    {
        int w = art.Width, h = art.Height;
        bool clearOnly = IsCutOut(art);
        var ground = Ground.Of(art);
        bool IsPale(Rgba8 p) => ground.HasColoredPaper ? p.LargestDifference(ground.Paper.WithAlpha(p.A)) <= near && p is not { R: 255, G: 255, B: 255 }
            : Math.Min(p.R, Math.Min(p.G, p.B)) >= 255 - near;
        var outside = new bool[w, h];
        var queue = Border(art);
        while (queue.TryDequeue(out var at))
        {
            var (x, y) = at;
            if (x < 0 || y < 0 || x >= w || y >= h || outside[x, y])
            {
                continue;
            }

            var p = art[x, y];
            if (p.A == 0 || (!clearOnly && IsPale(p)))
            {
                outside[x, y] = true;
                queue.Enqueue((x - 1, y));
                queue.Enqueue((x + 1, y));
                queue.Enqueue((x, y - 1));
                queue.Enqueue((x, y + 1));
            }
        }

        return outside;
    }

    private static Queue<(int X, int Y)> Border(Plane<Rgba8> art)
    {
        int w = art.Width, h = art.Height;
        return new Queue<(int X, int Y)>(
            Enumerable.Range(0, w * h).Select(i => (X: i % w, Y: i / w)).Where(at => at.X == 0 || at.Y == 0 || at.X == w - 1 || at.Y == h - 1));
    }

    // contract.md: clear pixels that reach the picture's edge make at least 0.5% of its area, or two corners are clear.
    private static bool IsCutOut(Plane<Rgba8> art)
    {
        int w = art.Width, h = art.Height;
        var corners = new[] { art[0, 0], art[w - 1, 0], art[0, h - 1], art[w - 1, h - 1] };
        var reached = new HashSet<(int X, int Y)>();
        var queue = Border(art);
        while (queue.TryDequeue(out var at))
        {
            var (x, y) = at;
            if (x >= 0 && y >= 0 && x < w && y < h && art[x, y].A == 0 && reached.Add(at))
            {
                queue.Enqueue((x - 1, y));
                queue.Enqueue((x + 1, y));
                queue.Enqueue((x, y - 1));
                queue.Enqueue((x, y + 1));
            }
        }

        return corners.Count(pixel => pixel.A == 0) >= 2 || reached.Count >= 0.005 * w * h;
    }

    [Fact]
    public void Enclosed_is_what_a_plain_flood_leaves() => Gen.Select(AnyArt, Gen.OneOf(Gen.Const(24), Gen.Const(0), Gen.Int[0, 255])).Holds((art, near) =>
    {
        var white = Find.PureWhite(art);
        var enclosed = white.Enclosed(near);
        var outside = Outside(art, near);
        for (int y = 0; y < art.Height; y++)
        {
            for (int x = 0; x < art.Width; x++)
            {
                enclosed.Contains(x, y).ShouldBe(white.Contains(x, y) && !outside[x, y]);
            }
        }
    }, iter: 2000);

    [Fact]
    public void A_leak_of_near_white_opens_the_belly_and_one_level_more_closes_it()
    {
        Plane<Rgba8> Puffin(byte gap) => Pictures.Art(7, 7, (x, y) =>
            (x, y) == (3, 1) ? new Rgba8(gap, gap, gap) : x is > 0 and < 6 && y is > 0 and < 6 && (x is 1 or 5 || y is 1 or 5) ? new Rgba8(10, 10, 10) : Rgba8.White);
        Find.PureWhite(Puffin(231)).Enclosed().Count.ShouldBe(0);
        Find.PureWhite(Puffin(230)).Enclosed().Count.ShouldBe(9);
    }

    [Fact]
    public void A_trimmed_white_sail_on_transparency_is_enclosed_though_it_touches_the_border()
    {
        // Of 400 px two are 0.5%: with them alpha says what is outside, with one it doesn't.
        var trimmed = Pictures.Art(20, 20, (x, y) => y == 0 && x is 4 or 5 ? Rgba8.ClearWhite : Rgba8.White);
        Find.PureWhite(trimmed).Enclosed().Count.ShouldBe(398);
        var chipped = Pictures.Art(20, 20, (x, y) => y == 0 && x is 4 ? Rgba8.ClearWhite : Rgba8.White);
        Find.PureWhite(chipped).Enclosed().Count.ShouldBe(0);
    }

    [Fact]
    public void Nothing_outside_gives_the_same_region()
    {
        var art = Pictures.Art(200, 20, (x, y) => x is 0 or 199 || y is 0 or 19 ? Rgba8.Black : Rgba8.White);
        var white = Find.PureWhite(art);
        white.Enclosed().ShouldBeSameAs(white);
        Should.Throw<ArgumentOutOfRangeException>(() => white.Enclosed(256));
        Should.Throw<ArgumentOutOfRangeException>(() => white.Enclosed(-1));
    }
}
