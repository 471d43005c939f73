namespace Recipes.Imaging;

/// <summary>How a layer goes onto what is below.</summary>
public enum LayerMode
{
    /// <summary>W3C source-over with the layer's blend mode.</summary>
    Over,

    /// <summary>Where the layer covers, its pixel takes the place of what is below, alpha included.</summary>
    Replace,

    /// <summary>A separation plane: the laydown of an ink of its own, beside the colors. Flattening passes it by.</summary>
    Separation,
}

/// <summary>Which request of a recipe, or of the host, wrote a layer.</summary>
public enum LayerIntent
{
    /// <summary>None: the original, or a layer of an imported file.</summary>
    None,
    /// <summary>Bare white moved to the brightest white that prints.</summary>
    MakePrintable,
    /// <summary>Pixels left bare.</summary>
    LeaveBare,
    /// <summary>Black made exact, so that it drops.</summary>
    DropBlack,
    /// <summary>Bare black moved to the darkest black that prints.</summary>
    PrintBlack,
    /// <summary>A color laid over a region.</summary>
    Fill,
    /// <summary>Old pixels that a guardrail put back.</summary>
    Protected,
    /// <summary>A separation plane of white ink under the colors.</summary>
    Underbase,
    /// <summary>A separation plane of a second pass of white ink.</summary>
    SecondPass,
}

/// <summary>One immutable layer of an artwork.</summary>
public sealed class Layer
{
    private Layer(string name, LayerMode mode, LayerIntent intent, Plane<Rgba8> pixels, Plane<byte>? coverage)
    {
        Name = name;
        Mode = mode;
        Intent = intent;
        Pixels = pixels;
        Coverage = coverage;
    }

    /// <summary>The name, unique within its artwork.</summary>
    public string Name { get; private init; }

    /// <summary>0 (invisible) to 1 (the default).</summary>
    public double Opacity { get; private init; } = 1;

    /// <summary>False where the layer is switched off.</summary>
    public bool Visible { get; private init; } = true;

    /// <summary>How the layer goes onto what is below.</summary>
    public LayerMode Mode { get; }

    /// <summary>The blend mode of an <see cref="LayerMode.Over"/> layer.</summary>
    public BlendMode Blend { get; private init; }

    /// <summary>What wrote the layer.</summary>
    public LayerIntent Intent { get; }

    /// <summary>The pixels.</summary>
    public Plane<Rgba8> Pixels { get; }

    /// <summary>
    /// Where a <see cref="LayerMode.Replace"/> layer covers, or how much ink a <see cref="LayerMode.Separation"/> lays, 0 to 255;
    /// null for an <see cref="LayerMode.Over"/> layer.
    /// </summary>
    public Plane<byte>? Coverage { get; }

    /// <summary>A layer that goes over what is below.</summary>
    public static Layer Over(string name, Plane<Rgba8> pixels, BlendMode blend = BlendMode.Normal) =>
        new(name, LayerMode.Over, LayerIntent.None, pixels, null) { Blend = blend };

    /// <summary>A layer that takes the place of what is below where it covers.</summary>
    public static Layer Replace(string name, LayerIntent intent, Plane<Rgba8> pixels, Plane<byte> coverage)
    {
        ArgumentNullException.ThrowIfNull(pixels);
        ArgumentNullException.ThrowIfNull(coverage);
        return pixels.Grid == coverage.Grid
            ? new Layer(name, LayerMode.Replace, intent, pixels, coverage)
            : throw new ArgumentException("Pixels and coverage differ in size.", nameof(coverage));
    }

    /// <summary>A separation plane. It has no colors: its pixels are clear.</summary>
    /// <param name="name">The name.</param>
    /// <param name="intent"><see cref="LayerIntent.Underbase"/> or <see cref="LayerIntent.SecondPass"/>.</param>
    /// <param name="ink">Laydown of every pixel, 0 (none) to 255 (a solid).</param>
    /// <param name="pixels">Clear pixels that are there already, so that an unchanged layer keeps its tiles; null makes them.</param>
    /// <exception cref="ArgumentException">Sizes differ, the intent is no plane's, or a pixel isn't clear.</exception>
    public static Layer Separation(string name, LayerIntent intent, Plane<byte> ink, Plane<Rgba8>? pixels = null)
    {
        ArgumentNullException.ThrowIfNull(ink);
        pixels ??= Plane<Rgba8>.OneValue(ink.Width, ink.Height, default);
        if (intent is not (LayerIntent.Underbase or LayerIntent.SecondPass) || pixels.Grid != ink.Grid || !pixels.Tiles.All(tile => tile.IsAll(default)))
        {
            throw new ArgumentException("A separation plane has an intent of its own and no colors.", nameof(intent));
        }

        return new Layer(name, LayerMode.Separation, intent, pixels, ink);
    }

    /// <summary>The layer under another name.</summary>
    public Layer WithName(string name) => name == Name ? this
        : new(name, Mode, Intent, Pixels, Coverage) { Opacity = Opacity, Visible = Visible, Blend = Blend };

    /// <summary>The layer at another opacity, 0 to 1.</summary>
    public Layer WithOpacity(double opacity)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(opacity is >= 0 and <= 1, true, nameof(opacity));
        return opacity.Equals(Opacity) ? this : new(Name, Mode, Intent, Pixels, Coverage) { Opacity = opacity, Visible = Visible, Blend = Blend };
    }

    /// <summary>The layer switched on or off.</summary>
    public Layer WithVisible(bool visible) => visible == Visible ? this
        : new(Name, Mode, Intent, Pixels, Coverage) { Opacity = Opacity, Visible = visible, Blend = Blend };
}
