using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>remove-specks on art whose every pixel is known. 0.06 mm2 at 300 ppi are 8.37 px, so 8 px are a speck and 9 are not.</summary>
public class RemoveSpecksTests
{
    private const int Width = 160, Height = 120;
    private static readonly Rgba8 Ink = new(34, 92, 140), Orange = new(240, 124, 28);

    private static Plane<Rgba8> Art(Func<int, int, Rgba8> rule) =>
        Plane<Rgba8>.FromContiguous(Width, Height, Enumerable.Range(0, Width * Height).Select(i => rule(i % Width, i / Width)).ToArray());

    private static bool In(int x, int y, int left, int top, int width, int height) => x >= left && x < left + width && y >= top && y < top + height;

    // Marked with a letter: what goes (s), what is filled (h), what must stay though it's small (p period, d dot, l lettering
    // left bare, b highlight that prints), larger things.
    private static char At(int x, int y)
    {
        // A block of ink with a pinhole, one that closes at a corner only, a larger hole with a small one beside it, a printed highlight.
        if (In(x, y, 20, 20, 60, 60))
        {
            return In(x, y, 30, 30, 2, 2) || (x, y) is (40, 30) or (41, 31) ? 'h'
                : In(x, y, 60, 60, 6, 6) ? 'H' : In(x, y, 69, 64, 2, 2) ? 'l'
                : In(x, y, 30, 60, 3, 2) ? 'b' : '#';
        }

        // A letter, its period 5 px away, and the dot over it; 8 px and less each.
        if (In(x, y, 84, 60, 3, 12))
        {
            return '#';
        }

        if (In(x, y, 91, 70, 2, 2))
        {
            return 'p';
        }

        if (In(x, y, 84, 55, 3, 2))
        {
            return 'd';
        }

        // Specks far from all: 8 px, a slanted one that holds at corners, two of 4 px near each other; and one of 9 px that is none.
        if (In(x, y, 120, 20, 4, 2) || (x - y == 90 && x is >= 130 and < 138) || In(x, y, 120, 90, 2, 2) || In(x, y, 124, 92, 2, 2))
        {
            return 's';
        }

        // 9 px at corners are not below 8.37.
        return In(x, y, 100, 100, 3, 3) || (y - x == -50 && x is >= 140 and < 149) ? '#' : '.';
    }

    private static Rgba8 Color(char c, Rgba8 bare) => c switch
    {
        '.' or 'h' or 'H' or 'l' => bare,
        'b' => Orange,
        _ => Ink,
    };

    public static TheoryData<string, string> Grounds => new() { { "light", "white" }, { "light", "clear" }, { "black", "white" }, { "black", "clear" }, { "black", "black" } };

    [Theory]
    [MemberData(nameof(Grounds))]
    public void Specks_go_pinholes_are_filled_and_all_else_stays(string garment, string ground)
    {
        var bare = ground switch { "white" => Rgba8.White, "black" => Rgba8.Black, _ => Rgba8.ClearWhite };
        var made = Shelf.Run("remove-specks", Art((x, y) => Color(At(x, y), bare)), garment == "light" ? Shelf.Light : Shelf.Black);
        var pixels = made.Pixels;
        for (int i = 0; i < pixels.Length; i++)
        {
            char c = At(i % Width, i / Width);
            pixels[i].ShouldBe(c == 's' ? Rgba8.ClearWhite : c == 'h' ? Ink : Color(c, bare), $"'{c}' at {i % Width},{i / Width}");
        }

        made.ShouldBeClear();
        // Worked out by hand, in reading order.
        made.Run.Reporter.RegionLists[0].Regions.Select(region => (region.Box, region.Pixels, region.Chosen)).ShouldBe(
            [(new Box(120, 20, 4, 2), 8L, true), (new Box(130, 40, 8, 8), 8L, true), (new Box(120, 90, 2, 2), 4L, true), (new Box(124, 92, 2, 2), 4L, true)]);
        made.Run.Reporter.RegionLists[1].Regions.Select(region => (region.Box, region.Pixels)).ShouldBe(
            [(new Box(30, 30, 2, 2), 4L), (new Box(40, 30, 1, 1), 1L), (new Box(41, 31, 1, 1), 1L)]);
        // One numbering for both lists; the two of 9 px stand alone and are larger than 8.37 px, but not than twice that.
        made.Run.Reporter.RegionLists.SelectMany(list => list.Regions).Select(region => region.Number).ShouldBe([1, 2, 3, 4, 5, 6, 7]);
        made.Run.Reporter.Notes.ShouldContain("4 specks go, 3 pinholes are filled; all are below 8.4 px2.");
        made.Run.Reporter.Notes.ShouldContain("2 more stand alone between once and twice that size: double the area to take them, too.");
        made.Run.Art.Declared.Bare.ShouldNotBeNull();
        made.Run.Art.Declared.Printable.ShouldNotBeNull();
    }

    [Fact]
    public void The_mixes_around_a_pinhole_take_the_color_and_in_shading_each_pixel_its_neighbors()
    {
        var half = new Rgba8(145, 174, 198);
        var flat = Shelf.Run("remove-specks", Art((x, y) => In(x, y, 50, 50, 1, 1) ? Rgba8.White : In(x, y, 49, 49, 3, 3) ? half : In(x, y, 10, 10, 100, 90) ? Ink : Rgba8.White), Shelf.Light);
        flat.Pixels.Where((_, i) => In(i % Width, i / Width, 10, 10, 100, 90)).ShouldAllBe(pixel => pixel == Ink);
        flat.ShouldBeClear();
        flat.Run.Reporter.Notes.ShouldBe(["0 specks go, 1 pinhole is filled; all are below 8.4 px2."]);

        Rgba8 Ramp(int x, int y) => In(x, y, 10, 10, 100, 90) ? new Rgba8((byte)(40 + x), 80, (byte)(60 + y)) : Rgba8.White;
        var shaded = Shelf.Run("remove-specks", Art((x, y) => In(x, y, 50, 50, 2, 1) ? Rgba8.White : Ramp(x, y)), Shelf.Light).Pixels;
        for (int i = 0; i < shaded.Length; i++)
        {
            shaded[i].LargestDifference(Ramp(i % Width, i / Width)).ShouldBeLessThanOrEqualTo(1);
        }
    }

    [Fact]
    public void Clean_art_stays_the_same_object()
    {
        var made = Shelf.Run("remove-specks", Art((x, y) => In(x, y, 10, 10, 100, 90) ? Ink : Rgba8.White), Shelf.Light);
        made.Run.Art.Artwork.ShouldBeSameAs(made.Before);
    }

    [Fact]
    public void A_smaller_area_takes_less()
    {
        var made = Shelf.Run("remove-specks", Art((x, y) => Color(At(x, y), Rgba8.White)), Shelf.Light, ("area", "5px"));
        // Of 4 px each and 3 px from each other, the two are one thing of 8 px, which isn't below 5; nothing else is that small and alone.
        made.Run.Reporter.RegionLists[0].Regions.ShouldBeEmpty();
        // Alone is farther than three times the root of 2 from larger ink, 4.2 px: at 1 px none is that small.
        var lone = Shelf.Run("remove-specks", Art((x, y) => (x, y) is (120, 20) ? Ink : Color(At(x, y), Rgba8.White) is var c && x < 100 ? c : Rgba8.White),
            Shelf.Light, ("area", "2px"));
        lone.Run.Reporter.RegionLists[0].Regions.Select(region => (region.Box, region.Pixels)).ShouldBe([(new Box(120, 20, 1, 1), 1L)]);
    }
}
