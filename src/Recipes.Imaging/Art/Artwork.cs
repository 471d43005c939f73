using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>
/// A picture with its layers, bottom to top: 8-bit sRGB with straight alpha. Immutable; an operation returns a new
/// artwork, or the same object where nothing changed.
/// </summary>
public sealed partial class Artwork
{
    /// <summary>The largest side in px.</summary>
    public const int LargestSide = 30_000;

    /// <summary>The most pixels.</summary>
    public const long MostPixels = 200_000_000;

    /// <summary>The most layers; a bound for data from outside, far above what steps of a day's work make.</summary>
    public const int MostLayers = 512;

    /// <summary>
    /// The most pixels that layers of a file, of a recipe or of a work file's step may bring to compose, all together; a bound for data from outside. A
    /// processor composes some 30 million of the slowest kind in a second, so that it takes a minute for these at worst, which is the time that a worker has.
    /// </summary>
    public const long MostComposedPixels = 2_000_000_000;

    /// <summary>Assembles an artwork; every layer must have its size.</summary>
    /// <param name="width">Width in px.</param>
    /// <param name="height">Height in px.</param>
    /// <param name="pixelsPerInch">Resolution, or null where the file says none.</param>
    /// <param name="layers">Bottom to top, names unique.</param>
    /// <param name="predecessor">The artwork this one came from; lets flattening reuse its tiles.</param>
    public Artwork(int width, int height, double? pixelsPerInch, ImmutableArray<Layer> layers, Artwork? predecessor = null)
        : this(width, height, pixelsPerInch, layers, predecessor, null)
    {
    }

    private Artwork(int width, int height, double? pixelsPerInch, ImmutableArray<Layer> layers, Artwork? predecessor, Lazy<Ground>? known)
    {
        if (width is < 1 or > LargestSide || height is < 1 or > LargestSide || (long)width * height > MostPixels)
        {
            throw new ArgumentOutOfRangeException(nameof(width), $"{width} x {height} is outside what an artwork may be.");
        }

        if (layers.Length > MostLayers)
        {
            throw new ArgumentException($"An artwork has at most {MostLayers} layers.", nameof(layers));
        }

        Grid = new TileGrid(width, height);
        PixelsPerInch = pixelsPerInch;
        Layers = layers;
        var names = new HashSet<string>(StringComparer.Ordinal);
        foreach (var layer in layers)
        {
            if (layer.Pixels.Grid != Grid)
            {
                throw new ArgumentException($"Layer '{layer.Name}' differs in size.", nameof(layers));
            }

            if (!names.Add(layer.Name))
            {
                throw new ArgumentException($"Two layers are named '{layer.Name}'.", nameof(layers));
            }
        }

        ground = known ?? new Lazy<Ground>(() => Ground.Of(Flat));
        this.predecessor = predecessor is not null && predecessor.Grid == Grid ? predecessor : null;
    }

    private readonly Lazy<Ground> ground;

    /// <summary>Size and cut, the same for every layer.</summary>
    public TileGrid Grid { get; }

    /// <summary>Width in px.</summary>
    public int Width => Grid.Width;

    /// <summary>Height in px.</summary>
    public int Height => Grid.Height;

    /// <summary>Width times height.</summary>
    public long PixelCount => (long)Width * Height;

    /// <summary>The pixels of all layers that are seen in the flattened art: of each those of the tiles that it reaches.</summary>
    public long ComposedPixels => Layers.Where(layer => layer is { Visible: true, Opacity: > 0, Mode: not LayerMode.Separation })
        .Sum(layer => layer.Coverage?.Tiles.Sum(tile => tile is { IsOneValue: true, Value: 0 } ? 0L : tile.Count) ?? PixelCount);

    /// <summary>Resolution, or null where the file said none.</summary>
    public double? PixelsPerInch { get; }

    /// <summary>True for a resolution that art may state, in pixels per inch: 1 to 100,000.</summary>
    public static bool IsResolution(double pixelsPerInch) => pixelsPerInch is >= 1 and <= 100_000;

    /// <summary>True where two resolutions are the same in a PNG file, which states whole pixels per meter: 72 per inch come back from one as 72.01.</summary>
    public static bool IsSameResolution(double? one, double? other)
    {
        return PerMeter(one).Equals(PerMeter(other));

        static double? PerMeter(double? pixelsPerInch) => pixelsPerInch is { } ppi ? Math.Round(ppi / 0.0254, MidpointRounding.AwayFromZero) : null;
    }

    /// <summary>The layers, bottom to top.</summary>
    public ImmutableArray<Layer> Layers { get; }

    /// <summary>An artwork of one layer named <c>original</c>.</summary>
    public static Artwork FromPixels(Plane<Rgba8> pixels, double? pixelsPerInch = null)
    {
        ArgumentNullException.ThrowIfNull(pixels);
        return new Artwork(pixels.Width, pixels.Height, pixelsPerInch, [Layer.Over("original", pixels)]);
    }

    /// <summary>Adds a layer on top; a taken name gets a number (<c>name 2</c>).</summary>
    public Artwork WithLayer(Layer layer)
    {
        ArgumentNullException.ThrowIfNull(layer);
        string name = layer.Name;
        for (int n = 2; Layers.Any(other => other.Name == name); n++)
        {
            name = $"{layer.Name} {n}";
        }

        return WithLayers(Layers.Add(layer.WithName(name)));
    }

    /// <summary>The artwork with other layers of the same size, on the same ground; this object where they are its own.</summary>
    public Artwork WithLayers(ImmutableArray<Layer> layers) =>
        layers.SequenceEqual(Layers) ? this : new Artwork(Width, Height, PixelsPerInch, layers, this, ground);

    /// <summary>What the figure lies on. Where nobody has said it, it is judged from this artwork's pixels, or from those that it came from.</summary>
    public Ground Ground => ground.Value;

    /// <summary>The artwork on a ground that was judged or said before; this object where it is its own.</summary>
    public Artwork WithGround(Ground known)
    {
        ArgumentNullException.ThrowIfNull(known);
        return ground is { IsValueCreated: true } && ground.Value == known ? this
            : new Artwork(Width, Height, PixelsPerInch, Layers, this, new Lazy<Ground>(known));
    }
}
