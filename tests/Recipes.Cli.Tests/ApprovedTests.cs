namespace Recipes.Cli.Tests;

/// <summary>What the program says, word for word; a change to an approved file needs a reason in its commit.</summary>
public sealed class ApprovedTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Help() => Approve(shop.Run("--help").ShouldExit(0).Out, "help");

    [Fact]
    public void An_unknown_parameter()
    {
        Picture.WriteRing(shop.At("ring.png"));
        Approve(shop.Run("dry-run", "printable-whites", "ring.png", "--setup", "light-garment", "--set", "smalest=1mm2").ShouldExit(2).Err, "unknown-parameter");
    }

    [Fact]
    public void A_guardrail_that_refuses()
    {
        Picture.WriteRing(shop.At("ring.png"));
        Approve(shop.Run("commit", "printable-whites", "ring.png", "--setup", "light-garment", "--set", "where=all").ShouldExit(6).Err, "guardrail");
    }

    private static void Approve(string text, string name) => text.Replace("\r\n", "\n", StringComparison.Ordinal)
        .ShouldMatchApproved(options => options.SubFolder("Approved").WithFilenameGenerator((_, _, type, extension) => $"{name}.{type}.{extension}").NoDiff());
}
