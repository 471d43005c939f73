using Recipes.Hosting.Arts;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Steps;
using Recipes.Hosting.Tests.UseCases;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Tests;

/// <summary>
/// A bench with a home of its own. The user's folders, the house and the recipe path are
/// still the process's, so as long as it lives the process's environment is its own: its tests run <see cref="Workers.Alone"/>.
/// </summary>
internal sealed class ShopAlone : Bench
{
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

    /// <summary>A small art: white around, a dark ring from 8 to 12 px, and 16 x 16 px of pure white inside it.</summary>
    public string WriteRing(string name)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(At(name))!);
        return Draw(name, 40, 40, (x, y) => Math.Min(Math.Min(x, y), Math.Min(39 - x, 39 - y)) is >= 8 and < 12 ? new Rgba8(10, 20, 60) : Rgba8.White);
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

    public static Code CodeOf(Action action) => Refused(() => { action(); return null; }).Code;

    public override void Dispose()
    {
        foreach (var (name, value) in before)
        {
            Environment.SetEnvironmentVariable(name, value);
        }

        base.Dispose();
    }
}
