namespace Recipes.Imaging;

public sealed partial class Artwork
{
    /// <summary>
    /// Whites that an earlier step made printable: they lie in a visible layer that <see cref="LayerIntent.MakePrintable"/>
    /// wrote, and print under the rules. Cleaning a background never takes them back. Null where there are none.
    /// </summary>
    public Region? PrintedWhite(InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(rules);
        Region? written = null;
        foreach (var layer in Layers.Where(layer => layer is { Intent: LayerIntent.MakePrintable, Visible: true }))
        {
            var region = new Region(layer.Coverage!, Flat);
            written = written is null ? region : written.Union(region);
        }

        var printed = written?.Intersect(Find.Where(Flat, pixel => rules.StateOf(pixel) == InkState.Prints));
        return printed is { IsEmpty: false } ? printed : null;
    }
}
