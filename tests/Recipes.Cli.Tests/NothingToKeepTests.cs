namespace Recipes.Cli.Tests;

/// <summary>A commit that changes no pixel adds no step: it would outdate exports, cut off redo and switch the art's setup.</summary>
public sealed class NothingToKeepTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void A_commit_without_a_change_leaves_the_work_as_it_was()
    {
        Picture.WriteRing(shop.At("ring.png"));
        ((int)shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0).Json["step"]!).ShouldBe(1);
        shop.Json("export", "ring.png", "-o", "print.png").ShouldExit(0);
        byte[] work = File.ReadAllBytes(shop.At("ring.png.work"));

        var again = shop.Json("commit", "printable-whites", "ring.png").ShouldExit(0).Json;
        ((long)again["changed"]!["pixels"]!).ShouldBe(0);
        ((int)again["step"]!).ShouldBe(1);
        string tried = shop.Run("dry-run", "printable-whites", "ring.png").ShouldExit(0).Out;
        tried.ShouldContain("Nothing to keep");
        tried.ShouldNotContain("Keep it with");
        shop.Json("commit", "printable-whites", "ring.png", "--setup", "black-garment-opaque-white").ShouldExit(0);
        File.ReadAllBytes(shop.At("ring.png.work")).ShouldBe(work);
        shop.Json("check", "print.png", "--setup", "light-garment").ShouldExit(0).Json["export"]!["current"]!.GetValue<bool>().ShouldBeTrue();
    }

    [Fact]
    public void A_commit_without_a_change_keeps_what_can_be_redone_and_starts_no_work_file()
    {
        Picture.WriteRing(shop.At("ring.png"));
        shop.Json("commit", "print-black", "ring.png", "--setup", "black-garment").ShouldExit(0);
        File.Exists(shop.At("ring.png.work")).ShouldBeFalse();

        shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        shop.Json("undo", "ring.png").ShouldExit(0);
        shop.Json("commit", "print-black", "ring.png").ShouldExit(0);
        ((int)shop.Json("redo", "ring.png").ShouldExit(0).Json["step"]!).ShouldBe(1);
    }
}
