using System.Collections.Immutable;
using CsCheck;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Work;

/// <summary>Artworks, records and files that the work file's tests share.</summary>
internal static class Sample
{
    public static readonly DateTimeOffset Noon = new(2026, 5, 4, 12, 0, 0, TimeSpan.FromHours(2));

    private static readonly string[] Names = ["original", "printable whites", "Möwe 🐧", ""];

    public static readonly Gen<Artwork> Artworks =
        from width in Gen.Int[1, 300]
        from height in Gen.Int[1, 200]
        from resolution in Gen.OneOf(Gen.Const((double?)null), Gen.Double[1, 1200].Select(d => (double?)d))
        from layers in Layers(width, height).Array[0, 4]
        select new Artwork(width, height, resolution, [.. layers.Select((layer, n) => layer.WithName($"{layer.Name} {n}"))]);

    public static OriginalFile Original => new("harbor-run.png", [.. Enumerable.Range(0, 5000).Select(i => (byte)(i * 7))], "PNG, 8-bit RGBA", ["turned upright"]);

    public static string Folder()
    {
        string folder = Path.Combine(Path.GetTempPath(), "recipes-work-" + Path.GetRandomFileName());
        Directory.CreateDirectory(folder);
        return folder;
    }

    public static Artwork Noise(int seed, int width = 300, int height = 200)
    {
        var random = new Random(seed);
        return Artwork.FromPixels(Plane<Rgba8>.FromContiguous(width, height, Enumerable.Range(0, width * height)
            .Select(_ => new Rgba8((byte)random.Next(256), (byte)random.Next(256), (byte)seed, 255)).ToArray()));
    }

    /// <summary>The artwork with the pixels of one box changed.</summary>
    public static Artwork Edited(Artwork art, Box box, Rgba8 color)
    {
        var old = art.Layers[0];
        var pixels = Plane<Rgba8>.Build(art.Width, art.Height, old.Pixels, (bounds, samples) =>
        {
            old.Pixels.Tiles[old.Pixels.Grid.IndexAt(bounds.X, bounds.Y)].CopyTo(samples);
            for (int i = 0; i < samples.Length; i++)
            {
                int x = bounds.X + (i % bounds.Width), y = bounds.Y + (i / bounds.Width);
                if (x >= box.X && x < box.X + box.Width && y >= box.Y && y < box.Y + box.Height)
                {
                    samples[i] = color;
                }
            }
        });
        return art.WithLayers(art.Layers.SetItem(0, Layer.Over(old.Name, pixels)));
    }

    public static StepRecord Record(string recipe = "printable-whites", string? by = "Ada") => new()
    {
        Recipe = recipe,
        RecipeVersion = 2,
        RecipeSha256 = new string('a', 64),
        RecipeTitle = "Make enclosed whites printable",
        Parameters = ImmutableSortedDictionary<string, string>.Empty.Add("near", "24").Add("smallest", "0mm2"),
        SetupJson = """{"name":"black-garment"}""",
        SetupSha256 = new string('b', 64),
        By = by,
        At = Noon,
        ReportJson = """{"changed":{"pixels":12}}""",
    };

    public static PrintRecord Print(int step, bool good = true, string note = "whites are dense") => new()
    {
        Step = step,
        PixelsSha256 = new string('d', 64),
        IsGood = good,
        Note = note,
        SetupJson = """{"name":"black-garment","inkLot":"W-117"}""",
        By = "Ada",
        At = Noon,
    };

    public static ArtNote Note => new("the customer wants the beak brighter", "Ada", Noon);

    public static WorkFile Reopen(string path, bool forWriting = false) => WorkFile.Open(path, forWriting).ShouldNotBeNull();

    public static void ShouldLookLike(this Artwork art, Artwork expected)
    {
        (art.Width, art.Height, art.PixelsPerInch, art.Layers.Length)
            .ShouldBe((expected.Width, expected.Height, expected.PixelsPerInch, expected.Layers.Length));
        foreach (var (mine, theirs) in art.Layers.Zip(expected.Layers))
        {
            (mine.Name, mine.Opacity, mine.Visible, mine.Mode, mine.Blend, mine.Intent)
                .ShouldBe((theirs.Name, theirs.Opacity, theirs.Visible, theirs.Mode, theirs.Blend, theirs.Intent));
            mine.Pixels.SameSamples(theirs.Pixels).ShouldBeTrue();
            (mine.Coverage is null).ShouldBe(theirs.Coverage is null);
            (mine.Coverage?.SameSamples(theirs.Coverage!) ?? true).ShouldBeTrue();
        }
    }

    public static void ShouldStopWith(this Action action, Code code) =>
        Should.Throw<ProblemException>(action).Problems[0].Code.ShouldBe(code);

    private static Gen<Layer> Layers(int width, int height) =>
        from name in Gen.Int[0, Names.Length - 1].Select(i => Names[i])
        from opacity in Gen.Double[0, 1]
        from visible in Gen.Bool
        from blend in Gen.Enum<BlendMode>()
        from intent in Gen.Enum<LayerIntent>()
        from replace in Gen.Bool
        from pixels in Gen.OneOf(
            Gen.UInt.Select(c => Plane<Rgba8>.OneValue(width, height, Color(c))),
            Gen.Int.Select(seed => Random(width, height, seed, n => Color((uint)n))))
        from coverage in Gen.OneOf(
            Gen.Byte.Select(c => Plane<byte>.OneValue(width, height, c)),
            Gen.Int.Select(seed => Random(width, height, seed, n => (byte)n)))
        select (intent is LayerIntent.Underbase or LayerIntent.SecondPass ? Layer.Separation(name, intent, coverage)
                : replace ? Layer.Replace(name, intent, pixels, coverage)
                : Layer.Over(name, pixels, blend))
            .WithOpacity(opacity).WithVisible(visible);

    // Noise in some tiles, one value in others.
    private static Plane<T> Random<T>(int width, int height, int seed, Func<int, T> sample)
        where T : unmanaged, IEquatable<T> =>
        Plane<T>.Build(width, height, null, (bounds, samples) =>
        {
            var random = new Random(seed ^ bounds.X ^ (bounds.Y << 8));
            bool plain = random.Next(2) == 0;
            var first = sample(random.Next());
            for (int i = 0; i < samples.Length; i++)
            {
                samples[i] = plain ? first : sample(random.Next());
            }
        });

    private static Rgba8 Color(uint c) => new((byte)c, (byte)(c >> 8), (byte)(c >> 16), (byte)(c >> 24));
}
