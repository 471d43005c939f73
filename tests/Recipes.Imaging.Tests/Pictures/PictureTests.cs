using CsCheck;
using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Tests;

public class PictureTests
{
    private static readonly GarmentSetup Navy = new() { Name = "navy", Garment = new Rgba8(20, 30, 60), PlatenWidth = 14, PlatenHeight = 16 };

    [Fact]
    public void The_garment_shows_where_the_art_stays_bare_and_through_partial_alpha()
    {
        var art = Plane<Rgba8>.FromContiguous(3, 1, new[] { new Rgba8(200, 100, 0), new Rgba8(200, 100, 0, 51), Rgba8.White });
        var shown = GarmentPicture.Render(art, Navy);
        shown[0, 0].ShouldBe(new Rgba8(200, 100, 0));
        // W3C Compositing, source-over on an opaque backdrop: 51/255 is a fifth of the source and four fifths of the cloth.
        shown[1, 0].ShouldBe(new Rgba8(56, 44, 48));
        shown[2, 0].ShouldNotBe(Rgba8.White);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    public void Bare_cloth_is_woven_and_printed_cloth_color_is_not(int shrink)
    {
        var bare = GarmentPicture.Render(Plane<Rgba8>.OneValue(90, 60, Rgba8.ClearWhite), Navy, shrink).ToContiguous();
        bare.Distinct().Count().ShouldBe(2);
        bare.ShouldContain(Navy.Garment);
        GarmentPicture.Render(Plane<Rgba8>.OneValue(90, 60, Navy.Garment), Navy, shrink).ToContiguous().ShouldAllBe(pixel => pixel == Navy.Garment);
    }

    [Fact]
    public void A_shrunk_garment_picture_is_the_mean_of_its_blocks()
    {
        var art = Plane<Rgba8>.FromContiguous(4, 2, new[]
        {
            new Rgba8(10, 0, 0), new Rgba8(20, 0, 0), new Rgba8(0, 4, 0), new Rgba8(0, 8, 0),
            new Rgba8(30, 0, 0), new Rgba8(40, 0, 0), new Rgba8(0, 12, 0), new Rgba8(0, 16, 0),
        });
        GarmentPicture.Render(art, Navy, 2).ToContiguous().ShouldBe([new Rgba8(25, 0, 0), new Rgba8(0, 10, 0)]);
    }

    [Fact]
    public void Every_changed_pixel_is_in_a_spot_and_there_are_few()
    {
        Gen.Select(Gen.Int[0, 699], Gen.Int[0, 499]).Array[0, 200].Holds(places =>
        {
            var before = Plane<Rgba8>.OneValue(700, 500, Rgba8.White);
            var samples = before.ToContiguous();
            foreach (var (x, y) in places)
            {
                samples[(y * 700) + x] = new Rgba8(255, 255, 254);
            }

            var after = Plane<Rgba8>.FromContiguous(700, 500, samples, before);
            var spots = ChangedSpots.Find(before, after);
            spots.Length.ShouldBeLessThanOrEqualTo(ChangedSpots.Most);
            spots.Sum(spot => spot.Pixels).ShouldBe(places.Distinct().Count());
            places.ShouldAllBe(place => spots.Any(spot => spot.Box.Contains(place.Item1, place.Item2)));
        }, iter: 30);
    }

    [Fact]
    public void A_solid_change_is_a_spot_of_its_own_amid_dust()
    {
        var before = Plane<Rgba8>.OneValue(2000, 2000, Rgba8.White);
        var after = Plane<Rgba8>.Build(2000, 2000, before, (bounds, samples) =>
        {
            for (int i = 0; i < samples.Length; i++)
            {
                int x = bounds.X + (i % bounds.Width), y = bounds.Y + (i / bounds.Width);
                bool solid = new Box(640, 960, 320, 128).Contains(x, y);
                samples[i] = solid ? Rgba8.Black : x % 31 == 0 && y % 29 == 0 ? new Rgba8(250, 250, 250) : Rgba8.White;
            }
        });
        // The dust in the cells that touch it may come along: up to two cells of 32 px.
        ChangedSpots.Find(before, after).ShouldContain(spot =>
            spot.Box.Within(new Box(640, 960, 320, 128)) == new Box(640, 960, 320, 128) && spot.Box.Width <= 320 + 64 && spot.Box.Height <= 128 + 64);
    }

    [Fact]
    public void Color_moves_agree_with_a_plain_grouping()
    {
        var color = Gen.Select(Gen.Byte[0, 3], Gen.Byte[0, 1], Gen.Byte[0, 2]).Select(t => new Rgba8(t.Item1, t.Item2, 0, t.Item3));
        Gen.Select(color.Array[150 * 20], color.Array[150 * 20]).Holds((a, b) =>
        {
            Plane<Rgba8> before = Plane<Rgba8>.FromContiguous(150, 20, a), after = Plane<Rgba8>.FromContiguous(150, 20, b, before);
            var expected = a.Zip(b).Where(pair => pair.First != pair.Second && (pair.First.A != 0 || pair.Second.A != 0))
                .GroupBy(pair => pair).ToDictionary(group => group.Key, group => (long)group.Count());
            var moves = ColorMoves.Of(before, after);
            moves.Length.ShouldBe(Math.Min(12, expected.Count));
            moves.ShouldAllBe(move => expected[new(move.From, move.To)] == move.Pixels);
            moves.Select(move => move.Pixels).ShouldBe(expected.Values.OrderDescending().Take(12));
        }, iter: 20);
    }

    [Fact]
    public void Letters_and_digits_are_all_drawn_and_all_different()
    {
        const string Needed = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.,:;-+()/#%";
        Needed.ShouldAllBe(character => Lettering.Has(character));
        Needed.Select(character => string.Concat(
            from y in Enumerable.Range(0, Lettering.Height) from x in Enumerable.Range(0, 5)
            select Lettering.IsDot(character, x, y) ? '#' : '.')).Distinct().Count().ShouldBe(Needed.Length);
    }

    [Fact]
    public void The_ink_map_tells_every_state_apart()
    {
        var rules = new InkRules { BlackBare = true };
        var maps = new[] { Rgba8.White, Rgba8.Black, Rgba8.ClearWhite, new Rgba8(9, 9, 9) }
            .Select(color => InkPicture.Render(Plane<Rgba8>.OneValue(32, 32, color), rules).ToContiguous().ToHashSet()).ToArray();
        for (int i = 0; i < maps.Length; i++)
        {
            for (int j = 0; j < i; j++)
            {
                maps[i].Overlaps(maps[j]).ShouldBeFalse();
            }
        }
    }
}
