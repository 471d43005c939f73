using Recipes.Imaging.Pictures;

namespace Recipes.Imaging.Tests.TestPrints;

/// <summary>A sheet of tests, pixel for pixel.</summary>
public class GangSheetTests
{
    private const double Ppi = 100;
    private static readonly GarmentSetup Light = new() { Name = "light", PlatenWidth = 6, PlatenHeight = 5 };
    private static readonly GarmentSetup Dark = new()
    {
        Name = "dark", PlatenWidth = 6, PlatenHeight = 5, Garment = new Rgba8(20, 20, 20), Ink = new InkRules { WhiteBare = false }, Underbase = Underbase.File,
    };

    private static Plane<Rgba8> Noise(int seed, int width, int height)
    {
        var random = new Random(seed);
        return Plane<Rgba8>.FromContiguous(width, height, Enumerable.Range(0, width * height)
            .Select(_ => new Rgba8((byte)random.Next(2, 250), (byte)random.Next(2, 250), (byte)random.Next(2, 250), (byte)random.Next(1, 256))).ToArray());
    }

    private static Plane<byte> Laydown(int width, int height) =>
        Plane<byte>.FromContiguous(width, height, Enumerable.Range(0, width * height).Select(i => (byte)(i % 251)).ToArray());

    private static readonly Box Area = new(25, 25, 550, 450);

    [Fact]
    public void Every_crop_lies_there_pixel_for_pixel_and_between_is_only_lettering()
    {
        GangedTest[] tests = [new(Noise(1, 150, 140), null, null, ["tee-1", "as sent"]), new(Noise(2, 30, 200), null, null, ["tee-2", "a caption that needs more than one line"])];
        var sheet = GangSheet.LayOut(Light, Ppi, tests, Area, []).ShouldNotBeNull();
        var art = sheet.Draw();
        (art.Width, art.Height, art.PixelsPerInch).ShouldBe((600, 500, Ppi));
        art.Layers.Length.ShouldBe(1);

        var left = art.Flat.ToContiguous();
        for (int t = 0; t < tests.Length; t++)
        {
            var place = sheet.Places[t];
            place.Within(Area).ShouldBe(place);
            for (int y = 0; y < tests[t].Pixels.Height; y++)
            {
                for (int x = 0; x < tests[t].Pixels.Width; x++)
                {
                    ref var pixel = ref left[((place.Y + y) * 600) + place.X + x];
                    pixel.ShouldBe(tests[t].Pixels[x, y]);
                    pixel = Rgba8.ClearWhite;
                }
            }
        }

        // What is left is bare cloth, and letters in the darkest black that prints, below each test and inside its place.
        for (int i = 0; i < left.Length; i++)
        {
            if (left[i] != Rgba8.ClearWhite)
            {
                left[i].ShouldBe(new Rgba8(1, 1, 1));
                sheet.Places.ShouldContain(place => place.Contains(i % 600, i / 600));
            }
        }

        // Letters of 2 mm at 100 ppi are 7.9 px: two px to the dot. As many dots as the font draws, nothing cut off.
        int Dots(string text) => text.Sum(character => Enumerable.Range(0, 45).Count(dot => Lettering.IsDot(character, dot % 5, dot / 5)));
        left.Count(pixel => pixel != Rgba8.ClearWhite).ShouldBe(4 * tests.SelectMany(test => test.Caption).Sum(Dots));
    }

    [Fact]
    public void On_dark_cloth_letters_are_white_on_a_solid_and_planes_come_along()
    {
        GangedTest[] tests = [new(Noise(3, 60, 50), Laydown(60, 50), Laydown(60, 50), ["tee-7"]), new(Noise(4, 40, 40), null, null, ["tee-8"])];
        var sheet = GangSheet.LayOut(Dark, Ppi, tests, Area, [new Box(0, 0, 200, 200)]).ShouldNotBeNull();
        var art = sheet.Draw();
        Plane<byte> first = art.Underbase.ShouldNotBeNull(), second = art.SecondPass.ShouldNotBeNull();
        for (int y = 0; y < 500; y++)
        {
            for (int x = 0; x < 600; x++)
            {
                bool inFirst = new Box(sheet.Places[0].X, sheet.Places[0].Y, 60, 50).Contains(x, y);
                bool letter = !inFirst && !new Box(sheet.Places[1].X, sheet.Places[1].Y, 40, 40).Contains(x, y) && art.Flat[x, y] != Rgba8.ClearWhite;
                byte crop = inFirst ? Laydown(60, 50)[x - sheet.Places[0].X, y - sheet.Places[0].Y] : (byte)0;
                first[x, y].ShouldBe(letter ? (byte)255 : crop);
                second[x, y].ShouldBe(crop);
                (letter && art.Flat[x, y] != new Rgba8(254, 254, 254)).ShouldBeFalse();
            }
        }

        sheet.Places.ShouldAllBe(place => place.Within(new Box(0, 0, 200, 200)).IsEmpty);
    }

    [Fact]
    public void What_does_not_fit_gives_no_sheet() =>
        GangSheet.LayOut(Light, Ppi, [new(Noise(5, 500, 440), null, null, ["tee-1"])], Area, []).ShouldBeNull();

    [Theory]
    [InlineData("as sent", 100, new[] { "as sent" })]
    [InlineData("as sent", 6, new[] { "as", "sent" })]
    [InlineData("harbor-fun-run", 5, new[] { "harbo", "r-fun", "-run" })]
    [InlineData("a  b", 9, new[] { "a  b" })]
    [InlineData("", 5, new[] { "" })]
    [InlineData("ab", 0, new[] { "a", "b" })]
    public void Text_wraps_between_words_and_inside_of_long_ones(string text, int characters, string[] lines) =>
        Lettering.Wrap(text, Lettering.WidthOf(new string('M', characters), 3), 3).ShouldBe(lines);
}
