using System.Security.Cryptography;
using System.Text;
using Recipes.Codecs;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Tests;

/// <summary>
/// A shop with a folder, a home and a clock of its own, and real workers, as a front end has them. The user's folders, the house and the recipe path are
/// still the process's, so as long as it lives the process's environment is its own: its tests run <see cref="Workers.Alone"/>.
/// </summary>
internal sealed class ShopAlone : IDisposable
{
    /// <summary>What its clock says.</summary>
    public static readonly DateTimeOffset Now = new(2026, 11, 25, 21, 14, 7, TimeSpan.Zero);

    private static readonly string[] Variables =
        ["HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME", "RECIPES_PATH", "RECIPES_HOUSE"];

    private readonly Dictionary<string, string?> before = Variables.ToDictionary(name => name, Environment.GetEnvironmentVariable);

    public ShopAlone()
    {
        foreach (string name in Variables)
        {
            Environment.SetEnvironmentVariable(name, null);
        }

        Environment.SetEnvironmentVariable("HOME", At("home"));
    }

    public string Folder { get; } = Directory.CreateTempSubdirectory("recipes-shop-").FullName;

    public Shop Shop { get; } = new() { Clock = new Stopped(), Cancel = TestContext.Current.CancellationToken };

    public WorkerPool Workers { get; } = new(new WorkerLimits(TimeSpan.FromMinutes(5), null));

    public string At(string name) => Path.Combine(Folder, name);

    public string Write(string name, string text)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(At(name))!);
        File.WriteAllText(At(name), text, new UTF8Encoding(false));
        return At(name);
    }

    /// <summary>A small art: white around, a dark ring from 8 to 12 px, and 16 x 16 px of pure white inside it.</summary>
    public string WriteRing(string name)
    {
        const int side = 40;
        Directory.CreateDirectory(Path.GetDirectoryName(At(name))!);
        using var stream = File.Create(At(name));
        PngWriter.Write(stream, Plane<Rgba8>.FromContiguous(side, side, Enumerable.Range(0, side * side).Select(i =>
        {
            int x = i % side, y = i / side, edge = Math.Min(Math.Min(x, y), Math.Min(side - 1 - x, side - 1 - y));
            return edge is >= 8 and < 12 ? new Rgba8(10, 20, 60) : Rgba8.White;
        }).ToArray()), 300);
        return At(name);
    }

    /// <summary>The house from now on, whose key is this shop's own.</summary>
    public void OpenHouse(string key, bool demands = true)
    {
        Write("house/house.json", $$"""
            { "house": 1, "requireApproval": {{(demands ? "true" : "false")}}, "keys": [ { "name": "{{key}}", "file": "{{key}}.pub.pem" } ] }
            """);
        File.Copy(At($"home/.config/recipes/keys/{key}.pub.pem"), At($"house/{key}.pub.pem"), overwrite: true);
        Environment.SetEnvironmentVariable("RECIPES_HOUSE", At("house"));
    }

    /// <summary>Keeps a recipe's result as a step.</summary>
    public Kept Keep(string recipe, string artPath, string? by = null) => ReadyRun.Find(
        Shop, new TryRequest(new RecipeRequest(recipe) { ToKeep = true }, new ArtReference(artPath) { Setup = "light-garment" }), Workers,
        run => Hosting.Steps.Keep.Run(Shop, run, Shop.WorkPathOf(artPath), new KeepOptions(by)));

    /// <summary>The pixels of a file, as a worker decodes it.</summary>
    public Plane<Rgba8> Pixels(string path) => ArtFile.Read(path).Decode(Workers, Shop.Cancel).Art.Flat;

    /// <summary>Every file with its hash, but the home's: for "as before".</summary>
    public SortedDictionary<string, string> Snapshot() => new(Directory.EnumerateFiles(Folder, "*", SearchOption.AllDirectories)
        .Select(file => Path.GetRelativePath(Folder, file)).Where(file => !file.StartsWith("home", StringComparison.Ordinal))
        .ToDictionary(file => file, file => HashOf(At(file))));

    public static string HashOf(string path) => Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(path)));

    public static Code CodeOf(Action action) => Should.Throw<ProblemException>(action).Problems[0].Code;

    public void Dispose()
    {
        Workers.Dispose();
        foreach (var (name, value) in before)
        {
            Environment.SetEnvironmentVariable(name, value);
        }

        Directory.Delete(Folder, recursive: true);
    }

    private sealed class Stopped : TimeProvider
    {
        public override DateTimeOffset GetUtcNow() => Now;
    }
}
