using System.Collections.Concurrent;
using System.Globalization;
using System.Security.Cryptography;
using System.Text.Json.Nodes;

namespace Recipes.Cli.Tests;

/// <summary>
/// Art that nobody drew for these tests: Debian's public-domain clip art (package openclipart-png). 40 of its files, or as
/// many as RECIPES_REAL_ART says; tests/real-art runs 200.
/// </summary>
public sealed class RealArtTests : IDisposable
{
    private const string Collection = "/usr/share/openclipart/png";

    // Guardrails may refuse real art and some of its files are of kinds that aren't read; both are answers, a fault isn't.
    private static readonly int[] Answers = [0, 3, 6];

    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public void Invariants_hold_on_clip_art()
    {
        Shop.Needs(Directory.Exists(Collection), "Debian's openclipart-png");
        int count = int.TryParse(Environment.GetEnvironmentVariable("RECIPES_REAL_ART"), NumberStyles.None, CultureInfo.InvariantCulture, out int wanted) ? wanted : 40;
        string[] all = [.. Directory.EnumerateFiles(Collection, "*.png", SearchOption.AllDirectories)
            .Where(file => new FileInfo(file).LinkTarget is null).Order(StringComparer.Ordinal)];
        all.Length.ShouldBeGreaterThanOrEqualTo(count);
        // Evenly spread over the collection, and the same ones every time.
        string[] files = [.. Enumerable.Range(0, count).Select(i => all[(long)i * all.Length / count])];
        var broken = new ConcurrentBag<string>();
        var exits = new ConcurrentBag<int>();
        Parallel.For(0, files.Length, new ParallelOptions { MaxDegreeOfParallelism = 2 }, i =>
        {
            string art = shop.At($"art{i}.png");
            File.Copy(files[i], art);
            byte[] hash = SHA256.HashData(File.ReadAllBytes(art));
            foreach (string[] command in (string[][])[["check"], ["dry-run", "printable-whites"], ["dry-run", "clean-background"]])
            {
                string[] output = command[0] == "check" ? [] : ["--out", shop.At($"art{i}.{command[^1]}")];
                var answer = shop.Json([.. command, art, "--setup", "light-garment", .. output]);
                exits.Add(answer.Exit);
                foreach (string fault in Faults(answer, command[^1]))
                {
                    broken.Add($"{string.Join(' ', command)} {files[i]}: {fault}");
                }
            }

            if (!SHA256.HashData(File.ReadAllBytes(art)).AsSpan().SequenceEqual(hash) || File.Exists(art + ".work"))
            {
                broken.Add($"{files[i]}: the original was touched");
            }
        });

        TestContext.Current.TestOutputHelper!.WriteLine(
            $"{count} files, exits {string.Join(", ", exits.GroupBy(exit => exit).Select(group => $"{group.Key}: {group.Count()}"))}, {broken.Count} violations");
        broken.ShouldBeEmpty();
        exits.Count.ShouldBe(3 * count);
        // Else the invariants would have been judged on little.
        exits.Count(exit => exit == 0).ShouldBeGreaterThan(2 * count, "most clip art is readable");
    }

    private static IEnumerable<string> Faults(Answer answer, string what)
    {
        if (!Answers.Contains(answer.Exit))
        {
            yield return $"exit {answer.Exit}: {answer.Out}{answer.Err}";
            yield break;
        }

        if (answer.Err.Contains("   at ", StringComparison.Ordinal))
        {
            yield return "a stack trace";
        }

        var json = answer.Json;
        if (answer.Exit == 3)
        {
            if (((string)json["problems"]![0]!["message"]!).Length < 20)
            {
                yield return "it doesn't say what the file is";
            }

            yield break;
        }

        long pixels = (long)json["art"]!["width"]! * (long)json["art"]!["height"]!;
        if (what == "check")
        {
            if (Sum(json["ink"]!) != pixels)
            {
                yield return "the ink counts don't add up to the pixels";
            }

            yield break;
        }

        var ink = json["ink"]!;
        long changed = (long)json["changed"]!["pixels"]!, gained = (long)ink["gained"]!, lost = (long)ink["lost"]!;
        if (Sum(ink["before"]!) != pixels || Sum(ink["after"]!) != pixels)
        {
            yield return "the ink counts don't add up to the pixels";
        }

        if ((long)ink["after"]!["prints"]! - (long)ink["before"]!["prints"]! != gained - lost || changed < gained + lost)
        {
            yield return "gained and lost don't fit the counts";
        }

        if (what == "printable-whites" && (lost != 0 || changed != gained || gained != (long)json["declared"]!["printable"]! || (int)json["changed"]!["maxDelta"]! != (changed > 0 ? 1 : 0)))
        {
            yield return "more than declared whites changed";
        }

        if (what == "clean-background" && (gained != 0 || changed > (long)json["declared"]!["bare"]!))
        {
            yield return "more than the declared background changed";
        }
    }

    private static long Sum(JsonNode ink) => ((JsonObject)ink).Where(pair => pair.Key is "prints" or "bareWhite" or "bareBlack" or "transparent").Sum(pair => (long)pair.Value!);
}
