using System.Diagnostics;

namespace Recipes.Cli.Tests;

/// <summary>On a machine that can't confine, here one whose kernel answers that it has no seccomp, only the shipped recipes run.</summary>
public sealed class DegradedTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Only_shipped_recipes_run_where_nothing_confines_them()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "needs Linux, to take its seccomp away");
        Picture.WriteRing(shop.At("ring.png"));
        File.WriteAllText(shop.At("mine.csx"), "Art.MakePrintable(Art.Find.PureWhite(), \"mine\");");
        Run("dry-run", "mine.csx", "ring.png", "--setup", "light-garment").ShouldBe((8, "R6101"));
        Run("commit", "mine.csx", "ring.png", "--setup", "light-garment").ShouldBe((8, "R6101"));
        Run("show", "mine.csx").ShouldBe((8, "R6101"));
        Directory.GetFileSystemEntries(shop.Desk).Select(Path.GetFileName).Order(StringComparer.Ordinal).ShouldBe(["mine.csx", "ring.png"]);
        Run("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldBe((0, ""));
        Run("export", "ring.png", "-o", "out.png").ShouldBe((0, ""));
        Picture.Read(shop.At("out.png")).Pixels[(20 * 40) + 20].ShouldBe(new Recipes.Imaging.Rgba8(254, 254, 254));
        // A changed byte is another recipe.
        File.WriteAllText(shop.At("printable-whites-too.csx"), File.ReadAllText(Path.Combine(Shop.ProgramFolder, "share/recipes/printable-whites.csx")) + " ");
        Run("dry-run", "printable-whites-too.csx", "ring.png").ShouldBe((8, "R6101"));
        Run("doctor").ShouldBe((0, ""));
    }

    private (int Exit, string Code) Run(params string[] arguments)
    {
        var start = new ProcessStartInfo(Shop.Dotnet) { WorkingDirectory = shop.Desk, RedirectStandardError = true, UseShellExecute = false };
        foreach (string argument in (string[])["exec", Path.Combine(AppContext.BaseDirectory, "recipes-probe.dll"), "without-seccomp", shop.Home, Shop.Dotnet, "exec", Path.Combine(Shop.ProgramFolder, "recipes.dll"), .. arguments])
        {
            start.ArgumentList.Add(argument);
        }

        using var process = Process.Start(start)!;
        string errors = process.StandardError.ReadToEnd();
        process.WaitForExit();
        int code = errors.IndexOf("error R", StringComparison.Ordinal);
        return (process.ExitCode, code < 0 ? "" : errors.Substring(code + 6, 5));
    }
}
