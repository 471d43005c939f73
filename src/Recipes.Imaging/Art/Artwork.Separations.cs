namespace Recipes.Imaging;

public sealed partial class Artwork
{
    /// <summary>The white underbase in force, 0 to 255, or null: the last visible plane that was laid, since each takes the place of earlier ones.</summary>
    public Plane<byte>? Underbase => InForce(LayerIntent.Underbase)?.Coverage;

    /// <summary>The second pass of white that was laid after the underbase in force, 0 to 255, or null.</summary>
    public Plane<byte>? SecondPass =>
        InForce(LayerIntent.SecondPass) is { } second && InForce(LayerIntent.Underbase) is { } first
            && Layers.IndexOf(second) > Layers.IndexOf(first) ? second.Coverage : null;

    /// <summary>True where colors changed after the underbase in force was laid, so that it may not fit them.</summary>
    public bool UnderbaseIsOutdated =>
        InForce(LayerIntent.Underbase) is { } plane && Layers.Skip(Layers.IndexOf(plane)).Any(layer => layer.Mode != LayerMode.Separation && layer.Visible);

    /// <summary>True where both lay the same white ink, sample by sample, or none.</summary>
    public bool LaysSameWhite(Artwork other)
    {
        ArgumentNullException.ThrowIfNull(other);
        return Alike(Underbase, other.Underbase) && Alike(SecondPass, other.SecondPass);

        static bool Alike(Plane<byte>? one, Plane<byte>? two) => ReferenceEquals(one, two) || (one is not null && two is not null && one.SameSamples(two));
    }

    private Layer? InForce(LayerIntent intent) => Layers.LastOrDefault(layer => layer.Mode == LayerMode.Separation && layer.Visible && layer.Intent == intent);
}
