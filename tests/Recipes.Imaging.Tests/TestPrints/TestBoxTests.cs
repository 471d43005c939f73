namespace Recipes.Imaging.Tests.TestPrints;

/// <summary>The smallest honest test, against the plain reading of its description: every square, every patch, every pixel.</summary>
public class TestBoxTests
{
    // 32 ppi: a cell of 1/16 in is 2 px, a patch 8 px, squares run from 16 to 64 px.
    private const double Ppi = 32;
    private const int Cell = 2, Patch = 8, Least = 16, Largest = 64;

    private static readonly InkRules Rules = new();
    private static readonly Rgba8 Blue = new(34, 92, 140), Orange = new(240, 124, 28), Night = new(14, 15, 20), Green = new(60, 160, 80);

    private static Plane<Rgba8> Art(int width, int height, Func<int, int, Rgba8> rule) =>
        Plane<Rgba8>.FromContiguous(width, height, Enumerable.Range(0, width * height).Select(i => rule(i % width, i / width)).ToArray());

    private static bool In(int x, int y, int left, int top, int width, int height) => x >= left && x < left + width && y >= top && y < top + height;

    [Fact]
    public void The_box_is_one_of_the_smallest_that_show_the_most()
    {
        var random = new Random(20);
        for (int round = 0; round < 12; round++)
        {
            // Blocks of color on bare white, some pixels alone, no line: sizes that are no multiple of a cell included.
            int width = random.Next(60, 110), height = random.Next(50, 100);
            var pixels = Enumerable.Repeat(Rgba8.White, width * height).ToArray();
            for (int block = 0; block < 9; block++)
            {
                var color = new[] { Blue, Orange, Night, Green }[random.Next(4)];
                int left = random.Next(width), top = random.Next(height), side = random.Next(6, 34);
                for (int i = 0; i < pixels.Length; i++)
                {
                    pixels[i] = In(i % width, i / width, left, top, side, side) ? color : pixels[i];
                }
            }

            for (int i = 0; i < pixels.Length; i++)
            {
                pixels[i] = random.Next(40) == 0 ? Orange : pixels[i];
            }

            var art = Plane<Rgba8>.FromContiguous(width, height, pixels);
            var found = TestBox.Smallest(art, Rules, Ppi).ShouldNotBeNull();
            var truth = new BruteForce(pixels, width, height);
            found.Area.ShouldBe(truth.Smallest(), $"round {round}, {width} x {height}");
            found.Holds.Count.ShouldBe(truth.Shown(found.Area));
            (found.Holds.Count + found.LeavesOut.Count).ShouldBe(truth.Features);
            TestBox.Smallest(art, Rules, Ppi)!.Area.ShouldBe(found.Area);
        }
    }

    [Fact]
    public void A_box_that_holds_everything_leaves_nothing_out_and_names_each()
    {
        // Blue, orange and night beside each other, then far away a field of blue; detail is the checkered square.
        var art = Art(400, 120, (x, y) =>
            In(x, y, 20, 20, 20, 20) ? Blue : In(x, y, 40, 20, 12, 12) ? Orange : In(x, y, 40, 32, 12, 12) ? Night
            : In(x, y, 20, 40, 8, 8) ? ((x + y) % 2 == 0 ? Blue : Orange) : In(x, y, 200, 10, 100, 100) ? Blue : Rgba8.White);
        var found = TestBox.Smallest(art, Rules, Ppi).ShouldNotBeNull();
        found.LeavesOut.ShouldBeEmpty();
        // Off the edges, which are upper rows and left columns, 99 x 99 + 19 x 19 px are blue, 11 x 11 each night and orange.
        found.Holds.ShouldBe(["#225c8c (98% of what prints)", "#0e0f14 (1% of what prints)", "#f07c1c (1% of what prints)", "the darkest area", "the finest detail"]);
        found.Area.Width.ShouldBeLessThan(Largest);
        found.Area.Within(new Box(20, 20, 32, 28)).IsEmpty.ShouldBeFalse();
    }

    [Fact]
    public void What_does_not_fit_into_two_inches_is_named()
    {
        // Orange and blue are 4 in apart.
        var art = Art(300, 100, (x, y) => In(x, y, 10, 10, 40, 40) ? Blue : In(x, y, 200, 10, 30, 30) ? Orange : Rgba8.White);
        var found = TestBox.Smallest(art, Rules, Ppi).ShouldNotBeNull();
        found.Holds.ShouldBe(["#225c8c (64% of what prints)", "the darkest area", "the finest detail"], ignoreOrder: true);
        found.LeavesOut.ShouldBe(["#f07c1c (36% of what prints)"]);
    }

    [Fact]
    public void The_thinnest_lines_are_those_within_a_factor_of_two_of_the_thinnest()
    {
        // At 300 ppi a mm is 11.8 px. A stroke of 10 px, and far away one of 2 px, which is 0.25 mm or less.
        var art = Art(1500, 700, (x, y) => In(x, y, 100, 100, 10, 200) || In(x, y, 1200, 500, 100, 2) || In(x, y, 100, 400, 200, 200) ? Blue : Rgba8.White);
        var found = TestBox.Smallest(art, Rules, 300).ShouldNotBeNull();
        found.Holds.Concat(found.LeavesOut).ShouldContain("the thinnest lines (0.25 mm or less)");
        // A line has both its edges in one patch, so it is fine detail, too.
        TestBox.At(art, Rules, 300, new Box(1100, 400, 300, 200))!.Holds.ShouldBe(["the thinnest lines (0.25 mm or less)", "the finest detail"]);
        TestBox.At(art, Rules, 300, new Box(0, 0, 300, 300))!.Holds.ShouldNotContain("the thinnest lines (0.25 mm or less)");
    }

    [Fact]
    public void Bare_art_has_no_test_and_a_box_on_bare_ground_neither()
    {
        TestBox.Smallest(Art(80, 80, (_, _) => Rgba8.White), Rules, Ppi).ShouldBeNull();
        var art = Art(200, 80, (x, _) => x < 40 ? Blue : Rgba8.White);
        TestBox.At(art, Rules, Ppi, new Box(100, 0, 60, 60)).ShouldBeNull();
        TestBox.At(art, Rules, Ppi, new Box(500, 0, 60, 60)).ShouldBeNull();
        // What of the box lies outside the art is cut off.
        TestBox.At(art, Rules, Ppi, new Box(20, 20, 500, 500))!.Area.ShouldBe(new Box(20, 20, 180, 60));
    }

    [Fact]
    public void Art_smaller_than_a_patch_is_its_own_test()
    {
        var found = TestBox.Smallest(Art(5, 3, (x, _) => x < 3 ? Blue : Rgba8.White), Rules, Ppi).ShouldNotBeNull();
        found.Area.ShouldBe(new Box(0, 0, 5, 3));
        found.LeavesOut.ShouldBeEmpty();
        TestBox.Smallest(Art(1, 1, (_, _) => Blue), Rules, Ppi)!.Area.ShouldBe(new Box(0, 0, 1, 1));
    }

    [Fact]
    public void Dropped_black_is_no_darkest_area()
    {
        var art = Art(200, 80, (x, _) => x < 60 ? Rgba8.Black : x is >= 140 and < 180 ? Green : Rgba8.White);
        var found = TestBox.Smallest(art, Rules with { BlackBare = true }, Ppi).ShouldNotBeNull();
        found.Holds.ShouldBe(["#3ca050 (100% of what prints)", "the darkest area", "the finest detail"]);
    }

    // Nothing but loops over the pixels.
    private sealed class BruteForce
    {
        private readonly int width, height, columns, rows;
        private readonly List<HashSet<(int X, int Y)>> features = [];
        private readonly Rgba8[] pixels;

        public BruteForce(Rgba8[] pixels, int width, int height)
        {
            (this.pixels, this.width, this.height) = (pixels, width, height);
            columns = (width + Cell - 1) / Cell;
            rows = (height + Cell - 1) / Cell;
            int printed = pixels.Count(pixel => !pixel.IsPureWhite);
            foreach (var color in new[] { Blue, Orange, Night, Green }.Where(color => pixels.Count(pixel => pixel == color) >= 0.01 * printed))
            {
                Amount(0.5, (x, y) => pixels[(y * width) + x] == color ? 1 : 0);
            }

            // The four colors in order of luma (ITU-R BT.709): night 15, blue 83, green 133, orange 142. A patch of mostly ink: 48 of 64 px.
            int enough = Math.Min(48, Patches().Max(patch => Sum(patch, (x, y) => Prints(x, y) ? 1 : 0)));
            double Light((int X, int Y) patch) => Sum(patch, (x, y) => Prints(x, y) ? 1 : 0) is var ink && ink >= enough
                ? Sum(patch, (x, y) => pixels[(y * width) + x] is var p && Prints(x, y) ? (2126 * p.R) + (7152 * p.G) + (722 * p.B) : 0) / (10_000.0 * ink) : 1e9;
            double darkest = Patches().Min(Light);
            features.Add([.. Patches().Where(patch => Light(patch) <= darkest + 5)]);
            Amount(0.8, (x, y) => (Edge(x, y, x + 1, y) ? 1 : 0) + (Edge(x, y, x, y + 1) ? 1 : 0));
        }

        public int Features => features.Count;

        public Box Smallest()
        {
            var (most, _) = Best(Largest);
            for (int side = Least; ; side += Cell)
            {
                if (Best(side) is var (shown, box) && shown == most)
                {
                    return box;
                }
            }
        }

        public int Shown(Box box) => features.Count(feature => feature.Any(patch => Inside(patch, box)));

        private (int Shown, Box Box) Best(int side) => Squares(side).Select(box => (Shown: Shown(box), Box: box))
            .OrderByDescending(square => square.Shown).ThenByDescending(square => Ink(square.Box)).ThenBy(square => square.Box.Y).ThenBy(square => square.Box.X).First();

        private IEnumerable<Box> Squares(int side)
        {
            int wide = Math.Min(side, columns * Cell), tall = Math.Min(side, rows * Cell);
            for (int y = 0; y + tall <= rows * Cell; y += Cell)
            {
                for (int x = 0; x + wide <= columns * Cell; x += Cell)
                {
                    yield return new Box(x, y, wide, tall).Within(new Box(0, 0, width, height));
                }
            }
        }

        private IEnumerable<(int X, int Y)> Patches() =>
            from y in Enumerable.Range(0, rows - 3) from x in Enumerable.Range(0, columns - 3) select (x * Cell, y * Cell);

        private bool Inside((int X, int Y) patch, Box box) =>
            patch.X >= box.X && patch.Y >= box.Y && Math.Min(patch.X + Patch, width) <= box.Right && Math.Min(patch.Y + Patch, height) <= box.Bottom;

        private void Amount(double part, Func<int, int, int> of)
        {
            int most = Patches().Max(patch => Sum(patch, of));
            features.Add([.. Patches().Where(patch => Sum(patch, of) >= part * most)]);
        }

        private int Sum((int X, int Y) patch, Func<int, int, int> of)
        {
            int sum = 0;
            for (int y = patch.Y; y < Math.Min(patch.Y + Patch, height); y++)
            {
                for (int x = patch.X; x < Math.Min(patch.X + Patch, width); x++)
                {
                    sum += of(x, y);
                }
            }

            return sum;
        }

        private int Ink(Box box) => pixels.Where((_, i) => box.Contains(i % width, i / width)).Count(pixel => !pixel.IsPureWhite);

        private bool Prints(int x, int y) => !pixels[(y * width) + x].IsPureWhite;

        private bool Edge(int x, int y, int u, int v)
        {
            if (u >= width || v >= height)
            {
                return false;
            }

            Rgba8 a = Seen(x, y), b = Seen(u, v);
            return Math.Max(Math.Max(Math.Abs(a.R - b.R), Math.Abs(a.G - b.G)), Math.Max(Math.Abs(a.B - b.B), Math.Abs(a.A - b.A))) >= 48;
        }

        private Rgba8 Seen(int x, int y) => Prints(x, y) ? pixels[(y * width) + x] : new Rgba8(255, 255, 255, 0);
    }
}
