using Recipes.Hosting.Arts;
using Recipes.Hosting.Exports;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.UseCases;

/// <summary>What is written is refused in the place of an original or of a foreign file, whatever else is wrong.</summary>
public sealed class OutputTests : IDisposable
{
    private readonly Bench bench = new();

    public void Dispose() => bench.Dispose();

    [Theory]
    [InlineData(null)]
    [InlineData("nowhere")]
    [InlineData(Bench.Light)]
    public void Nothing_takes_the_place_of_the_art(string? setup)
    {
        string art = bench.Draw("sail.png", 40, 40, (x, _) => x < 20 ? Rgba8.White : new Rgba8(24, 48, 92));
        var asked = new ArtReference(art) { Setup = setup };
        var before = bench.Snapshot();
        Bench.Refused(() => Export.Write(bench.Shop, new ExportRequest(asked, art) { Force = true }, exported => exported)).Code.ShouldBe(Codes.OutputExists);
        Bench.Refused(() => Preview.Draw(bench.Shop, new PreviewRequest(asked, art) { Force = true }, preview => preview)).Code.ShouldBe(Codes.OutputExists);
        Bench.Refused(() => TicketSheet.Write(bench.Shop, new TicketRequest(asked, art) { Force = true }, sheet => sheet)).Code.ShouldBe(Codes.OutputExists);
        bench.Snapshot().ShouldBe(before);
    }

    [Theory]
    [InlineData(null)]
    [InlineData("nowhere")]
    public void What_is_there_is_told_before_a_setup_that_is_missing(string? setup)
    {
        string art = bench.Draw("sail.png", 40, 40, (_, _) => new Rgba8(24, 48, 92)), there = bench.Write("there.html", "another's");
        Bench.Refused(() => TicketSheet.Write(bench.Shop, new TicketRequest(new ArtReference(art) { Setup = setup }, there), sheet => sheet)).Code
            .ShouldBe(Codes.OutputExists);
        string picture = bench.Draw("there.png", 4, 4, (_, _) => Rgba8.White);
        var shown = new PreviewRequest(new ArtReference(art) { Setup = setup ?? "nowhere" }, picture);
        Bench.Refused(() => Preview.Draw(bench.Shop, shown, preview => preview)).Code.ShouldBe(Codes.OutputExists);
    }
}
