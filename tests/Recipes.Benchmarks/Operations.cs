using BenchmarkDotNet.Attributes;
using Recipes.Api;
using Recipes.Codecs;
using Recipes.Decoders;
using Recipes.Imaging;
using Recipes.Imaging.Pictures;

namespace Recipes.Benchmarks;

/// <summary>What recipes and reports are made of, on art of three sizes.</summary>
public class Operations
{
    private Plane<Rgba8> art = null!, changed = null!;
    private Rgba8[] contiguous = null!;
    private byte[] file = null!;
    private Region white = null!, enclosed = null!;

    [Params(5, 20, 80)]
    public int Megapixels { get; set; }

    [Params(false, true)]
    public bool Photographic { get; set; }

    [GlobalSetup]
    public void Setup()
    {
        art = Arts.Make(Megapixels, Photographic);
        contiguous = art.ToContiguous();
        file = PngWriter.Encode(art);
        white = Find.PureWhite(art);
        enclosed = white.Enclosed();
        changed = ((Artwork)PointOperation()).Flat;
    }

    [Benchmark]
    public object Decode() => ArtDecoder.DecodePlain(file, "art.png")!;

    [Benchmark]
    public object Encode() => PngWriter.Encode(art);

    [Benchmark]
    public object FreezeTiles() => Plane<Rgba8>.FromContiguous(art.Width, art.Height, contiguous);

    [Benchmark]
    public object PointOperation()
    {
        var cursor = new RecipeRun(Artwork.FromPixels(art), Setups.Light, new Dictionary<string, string>()).Art;
        cursor.MakePrintable(enclosed, "white");
        _ = cursor.Artwork.Flat;
        return cursor.Artwork;
    }

    [Benchmark]
    public object FindPureWhite() => Find.PureWhite(art);

    [Benchmark]
    public object FindByCiede2000() => Find.Like(art, new Rgba8(120, 110, 90), 10);

    [Benchmark]
    public object FindByTest() => Find.Where(art, pixel => pixel.R > 200);

    [Benchmark]
    public object Islands() => new Region(white.Coverage, art).Islands().Count;

    [Benchmark]
    public object Enclosed() => new Region(white.Coverage, art).Enclosed();

    [Benchmark]
    public object Choke() => new Region(white.Coverage, art).Choke(3);

    [Benchmark]
    public object Background() => Find.Background(art, Ground.Of(art), null, PaperTolerance.At(300));

    [Benchmark]
    public object SwapColor()
    {
        var from = new Rgba8(120, 110, 90);
        return ColorSwap.Swap(art, SharedColor.ShareOf(art, from, 5), new(from, new Rgba8(200, 16, 46), KeepShading: false), Setups.Light.Ink);
    }

    [Benchmark]
    public object Diff() => ArtworkDiff.Between(art, changed);

    [Benchmark]
    public object DiffPictureWhole() => DiffPicture.Render(art, changed, Setups.Light.Ink);

    [Benchmark]
    public object Summary() => TileSummary.Of(Plane<Rgba8>.FromContiguous(art.Width, art.Height, contiguous));
}
