using CsCheck;
using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Tests;

// The colors are those of Okabe and Ito, from memory; #0072B2, #D55E00 and #F0E442 are also what the design asks for.
public class DiffPictureTests
{
    private static readonly InkRules Rules = new();
    private static readonly Rgba8 Blue = new(0x00, 0x72, 0xB2), Vermilion = new(0xD5, 0x5E, 0x00), Yellow = new(0xF0, 0xE4, 0x42), Purple = new(0xCC, 0x79, 0xA7), Pale = new(0xE2, 0xED, 0xE6);

    [Fact]
    public void One_pixel_of_one_level_in_twenty_megapixels_is_marked_at_its_own_size_and_in_the_overview()
    {
        const int X = 2101, Y = 3307;
        var before = Plane<Rgba8>.OneValue(4200, 4800, new Rgba8(120, 130, 140));
        var after = With(before, X, Y, new Rgba8(120, 130, 141));

        var diff = DiffPicture.Render(before, after, Rules);

        diff[X, Y].ShouldBe(Yellow);
        // At most 24 px around it there is an outline, and nowhere else is anything but the one gray of the art.
        var art = Crop.Of(diff, new Box(0, 0, 4200, 4800)).ToContiguous();
        var gray = art[0];
        IsGray(gray).ShouldBeTrue();
        var marked = Enumerable.Range(0, art.Length).Where(i => art[i] != gray).ToArray();
        marked.ShouldAllBe(i => Math.Abs((i % 4200) - X) <= 24 && Math.Abs((i / 4200) - Y) <= 24);
        marked.Count(i => art[i].R < 32).ShouldBeGreaterThan(100);

        var overview = Overview.OfDiff(diff, before, after);
        Math.Max(overview.Width, overview.Height).ShouldBeLessThanOrEqualTo(1600);
        int n = Overview.ShrinkOf(before.Grid);
        for (int y = -2; y <= 2; y++)
        {
            for (int x = -2; x <= 2; x++)
            {
                overview[(X / n) + x, (Y / n) + y].ShouldBe(Yellow);
            }
        }
    }

    public static TheoryData<Rgba8, Rgba8, bool, Rgba8> Changes => new()
    {
        { Rgba8.White, Rgba8.ClearWhite, true, Pale },
        { Rgba8.White, Rgba8.ClearWhite, false, Vermilion },
        { Rgba8.ClearWhite, Rgba8.White, true, Pale },
        { new Rgba8(10, 20, 30), new Rgba8(10, 20, 30, 254), true, Purple },
        { Rgba8.White, new Rgba8(254, 255, 255), true, Blue },
        { new Rgba8(254, 255, 255), Rgba8.White, true, Vermilion },
        { new Rgba8(0, 0, 1), Rgba8.Black, true, Yellow },
    };

    [Theory]
    [MemberData(nameof(Changes))]
    public void A_lone_pixel_shows_the_color_of_its_kind(Rgba8 from, Rgba8 to, bool whiteBare, Rgba8 mark)
    {
        var before = Plane<Rgba8>.OneValue(200, 150, from);
        DiffPicture.Render(before, With(before, 77, 41, to), Rules with { WhiteBare = whiteBare })[77, 41].ShouldBe(mark);
    }

    [Fact]
    public void Unchanged_art_and_color_under_transparency_show_no_mark()
    {
        var before = Plane<Rgba8>.OneValue(300, 200, new Rgba8(9, 9, 9, 0));
        foreach (var after in new[] { before, With(before, 5, 6, Rgba8.ClearWhite) })
        {
            var diff = Crop.Of(DiffPicture.Render(before, after, Rules), new Box(0, 0, 300, 200)).ToContiguous();
            diff.Distinct().Count().ShouldBe(1);
            IsGray(diff[0]).ShouldBeTrue();
        }
    }

    [Fact]
    public void Exactly_the_changed_pixels_are_colored()
    {
        var color = Gen.Select(Gen.Byte[250, 255], Gen.Byte[253, 255], Gen.Byte[254, 255]).Select(t => new Rgba8(t.Item1, 255, t.Item2, t.Item3));
        Gen.Select(color.Array[140 * 6], color.Array[140 * 6]).Holds((a, b) =>
        {
            Plane<Rgba8> before = Plane<Rgba8>.FromContiguous(140, 6, a), after = Plane<Rgba8>.FromContiguous(140, 6, b, before);
            var diff = DiffPicture.Render(before, after, Rules);
            for (int i = 0; i < a.Length; i++)
            {
                IsGray(diff[i % 140, i / 140]).ShouldBe(a[i] == b[i]);
            }
        }, iter: 40);
    }

    [Fact]
    public void The_patterns_differ_without_color()
    {
        ChangeKind[] kinds = [ChangeKind.InkGained, ChangeKind.InkLost, ChangeKind.Color, ChangeKind.Alpha, ChangeKind.Bare];
        var patterns = kinds.Select(kind => string.Concat(
            from y in Enumerable.Range(0, 16) from x in Enumerable.Range(0, 16)
            select ChangeMark.At(kind, 1, x, y) == ChangeMark.ColorOf(kind) ? '.' : '#')).ToArray();
        patterns.Distinct().Count().ShouldBe(kinds.Length);
        patterns.ShouldAllBe(pattern => pattern.Contains('.') && pattern.Contains('#'));
        kinds.ShouldAllBe(kind => !IsGray(ChangeMark.ColorOf(kind)) && !IsGray(ChangeMark.PatternOf(kind)));
    }

    [Fact]
    public void Dots_are_denser_with_more_change()
    {
        int[] dots = [.. new[] { 1, 2, 4, 8, 16, 32, 64, 128 }.Select(delta => (
            from y in Enumerable.Range(0, 8) from x in Enumerable.Range(0, 8)
            select ChangeMark.At(ChangeKind.Color, delta, x, y)).Count(color => color != Yellow) / 4)];
        dots.ShouldBe([1, 2, 3, 4, 5, 6, 7, 8]);
    }

    [Fact]
    public void Numbers_tell_chosen_regions_from_others_and_hide_no_lone_pixel()
    {
        var before = Plane<Rgba8>.OneValue(300, 300, new Rgba8(90, 90, 90));
        // Wherever the number of this region goes, some pixel of this net lies under it.
        var after = Plane<Rgba8>.Build(300, 300, before, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                int x = bounds.X + (i % bounds.Width), y = bounds.Y + (i / bounds.Width);
                samples[i] = x % 5 == 0 && y % 5 == 0 ? new Rgba8(90, 91, 90) : new Rgba8(90, 90, 90);
            }
        });
        var chosen = DiffPicture.Render(before, after, Rules, [new NumberedBox(7, new Box(100, 100, 20, 20), true)]);
        var left = DiffPicture.Render(before, after, Rules, [new NumberedBox(7, new Box(100, 100, 20, 20), false)]);
        int differ = 0;
        for (int y = 0; y < 300; y++)
        {
            for (int x = 0; x < 300; x++)
            {
                bool changed = before[x, y] != after[x, y];
                IsGray(chosen[x, y]).ShouldBe(!changed);
                differ += chosen[x, y] != left[x, y] ? 1 : 0;
            }
        }

        differ.ShouldBeGreaterThan(100);
    }

    [Fact]
    public void The_legend_lies_below_the_art_and_widens_a_narrow_picture()
    {
        var art = Plane<Rgba8>.OneValue(40, 30, Rgba8.White);
        var diff = DiffPicture.Render(art, art, Rules);
        diff.Width.ShouldBeGreaterThan(40);
        diff.Height.ShouldBeGreaterThan(30);
        diff.ToContiguous().ShouldAllBe(pixel => pixel.A == 255);
    }

    private static bool IsGray(Rgba8 pixel) => pixel.R == pixel.G && pixel.G == pixel.B;

    internal static Plane<Rgba8> With(Plane<Rgba8> plane, int x, int y, Rgba8 color) =>
        Plane<Rgba8>.Build(plane.Width, plane.Height, plane, (bounds, samples) =>
        {
            plane.Tiles[plane.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(samples);
            if (bounds.Contains(x, y))
            {
                samples[((y - bounds.Y) * bounds.Width) + x - bounds.X] = color;
            }
        });
}
