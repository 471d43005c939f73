namespace Recipes.Cli.Tests;

/// <summary>
/// Hostile recipes that no check can tell from honest ones, and texts that wear the compiler down: real workers stop them at
/// their limits, with the code that the first line of each names, and nothing is left behind.
/// </summary>
public sealed class HostileRecipeTests : IDisposable
{
    private static readonly string Canary = Path.Combine(Path.GetTempPath(), "recipes-canary");
    private readonly Shop shop = new();

    public static TheoryData<string> Files => [.. Directory.GetFiles(Folder, "*.csx", SearchOption.AllDirectories)
        .Where(file => File.ReadLines(file).First() is var head && (head.StartsWith("// R4", StringComparison.Ordinal) || head.EndsWith("worker", StringComparison.Ordinal)))
        .Select(file => Path.GetRelativePath(Folder, file).Replace('\\', '/')).Order(StringComparer.Ordinal)];

    private static string Folder => Path.Combine(Shop.Root, "tests", "Recipes.Scripting.Tests", "Rejected");

    public void Dispose() => shop.Dispose();

    [Theory]
    [MemberData(nameof(Files))]
    public void Are_stopped_without_an_effect(string file)
    {
        Picture.WriteRing(shop.At("ring.png"));
        string text = File.ReadAllText(Path.Combine(Folder, file));
        string[] codes = [.. text.Split('\n')[0].Split(' ').Where(word => word.StartsWith('R'))];
        bool runs = codes[0][1] == '4';
        shop.Write("hostile.csx", text);
        // A short limit where time is what stops it; elsewhere one that a busy machine doesn't reach first.
        string limit = codes[0] == "R4003" ? "3" : runs ? "60" : "10";
        if (codes[0] == "R4003")
        {
            // Decoded beforehand, since the limit is for decoding, too.
            shop.Json("commit", "printable-whites", "ring.png", "--setup", "light-garment").ShouldExit(0);
        }

        var before = shop.Snapshot();
        bool there = File.Exists(Canary);
        if (runs)
        {
            // Compiled beforehand, since the limit is for compiling, too.
            shop.Json("show", "hostile.csx").ShouldExit(0);
        }

        var answer = shop.Json("commit", "hostile.csx", "ring.png", "--setup", "light-garment", "--time-limit", limit, "--memory-limit", "256");
        codes.ShouldContain(answer.Codes[0], answer.Out);
        answer.ShouldFail(runs ? 5 : 4, answer.Codes[0]);
        shop.Snapshot().ShouldBe(before);
        File.Exists(Canary).ShouldBe(there);
    }
}
