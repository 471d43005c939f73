using CsCheck;

namespace Recipes.Imaging.Tests;

public class PrintedWhiteTests
{
    [Fact]
    public void Printed_white_is_what_a_visible_printable_layer_covers_and_what_prints() =>
        Gen.Select(Cases.Artworks(), Gen.Bool, Gen.Bool).Holds((art, white, black) =>
    {
        var rules = new InkRules { WhiteBare = white, BlackBare = black };
        var written = art.Layers.Where(layer => layer.Visible && layer.Intent == LayerIntent.MakePrintable).Select(layer => layer.Coverage!.ToContiguous()).ToList();
        var expected = art.Flat.ToContiguous()
            .Select((pixel, i) => rules.StateOf(pixel) == InkState.Prints ? written.Select(coverage => coverage[i]).DefaultIfEmpty().Max() : (byte)0).ToArray();
        var region = art.PrintedWhite(rules);
        (region is null).ShouldBe(Array.TrueForAll(expected, coverage => coverage == 0));
        region?.Coverage.ToContiguous().ShouldHold(expected);
    }, iter: 50);

    [Fact]
    public void Printed_white_goes_with_its_layer()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(3, 2, Rgba8.White));
        art.PrintedWhite(new InkRules()).ShouldBeNull();
        var printable = art.WithLayer(Layer.Replace("belly", LayerIntent.MakePrintable,
            Plane<Rgba8>.OneValue(3, 2, new Rgba8(254, 254, 254)), Plane<byte>.FromContiguous(3, 2, new byte[] { 0, 255, 0, 0, 0, 0 })));
        printable.PrintedWhite(new InkRules())!.Count.ShouldBe(1);
        printable.WithLayers([art.Layers[0], printable.Layers[1].WithVisible(false)]).PrintedWhite(new InkRules()).ShouldBeNull();
    }
}
