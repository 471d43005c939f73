using System.CommandLine;
using System.Text;
using System.Text.RegularExpressions;
using Recipes.Cli.Demo;
using Recipes.Files;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Library;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary>A recipe's page: what it declares, what its example makes of the demo's art, and the text by hand that lies beside it.</summary>
internal sealed partial class RecipePage
{
    /// <summary>Stands in every file that the command writes, so that it knows its own.</summary>
    public const string Mark = "Made by 'recipes docs recipes'";

    // Side of a picture, px: large enough to see a belly, small enough for a page of three.
    private const int LongestSide = 375;
    private const long LongestByHand = 256 * 1024;

    private static readonly Lazy<Artwork> Drawing = new(() => HarborDrawing.Draw()), CutOut = new(HarborDrawing.DrawCutOut);
    private static readonly InkRules Everything = new() { WhiteBare = false, BlackBare = false, TransparentBare = false };

    private RecipePage(ReadyRecipe recipe) => Recipe = recipe;

    public ReadyRecipe Recipe { get; }

    public string Name => Recipe.Source.Name;

    /// <summary>The page in Markdown.</summary>
    public string Text { get; private set; } = "";

    /// <summary>Its pictures: the last part of their names, and pixels.</summary>
    public IReadOnlyList<(string Name, Plane<Rgba8> Pixels)> Pictures { get; private set; } = [];

    /// <summary>The file beside a recipe that holds the text by hand.</summary>
    public static string ByHand(RecipeSource source) => Path.ChangeExtension(source.Path, ".md");

    /// <summary>Runs the recipe's example on the demo's art and writes its page.</summary>
    /// <exception cref="ProblemException">R2008: the text by hand can't be read.</exception>
    public static RecipePage Of(ReadyRecipe recipe, WorkerPool workers, CancellationToken cancel)
    {
        var page = new RecipePage(recipe);
        string[] example = recipe.Spec.Example.Length > 0
            ? recipe.Spec.Example.Replace('`', '\'').Split(' ', StringSplitOptions.RemoveEmptyEntries)
            : ["recipes", "dry-run", page.Name, "puffin.png"];
        string shown;
        try
        {
            shown = page.Show(Run(recipe, example, workers, cancel));
        }
        catch (ProblemException e)
        {
            // It declines this art, or needs what its example doesn't give; a page can say so.
            shown = $"On the demo's art this gives no picture: {Escape(e.Problems[0].Message)}\n";
        }

        page.Text = $"<!-- {Mark} from the recipe and {page.Name}.md beside it; change those. -->\n\n{page.Head()}\n## Example\n\n"
            + $"```sh\n{string.Join(' ', example)}\n```\n\n{shown}{ReadByHand(recipe.Source)}";
        return page;
    }

    private string Head()
    {
        var spec = Recipe.Spec;
        var text = new StringBuilder($"# {Name}\n\n");
        if (spec.Title.Length > 0)
        {
            text.Append($"**{Escape(spec.Title)}.** ");
        }

        text.Append($"{Escape(spec.Purpose)}\n\n## Parameters\n\n");
        if (spec.Parameters.Length == 0)
        {
            text.Append("It takes none.\n");
        }
        else
        {
            text.Append("| parameter | takes | default | meaning |\n|---|---|---|---|\n");
            foreach (var parameter in spec.Parameters)
            {
                text.Append($"| `{parameter.Name}` | {Escape(ParameterValues.Takes(parameter))} | "
                    + $"{(parameter.Default.Length == 0 ? "none" : $"`{parameter.Default.Replace('`', '\'').Replace("|", "\\|", StringComparison.Ordinal)}`")}"
                    + $" | {Escape(parameter.Help)} |\n");
            }
        }

        foreach (string expected in Expectations.InWords(spec.Expects))
        {
            text.Append($"\nIt expects {Escape(expected)}.\n");
        }

        if (spec.LeavesBare.Length > 0)
        {
            text.Append($"\nWhat it leaves bare on purpose: {Escape(spec.LeavesBare)}\n");
        }

        return spec.RunOnce.Length > 0 ? text.Append($"\nRun it once. {Escape(spec.RunOnce)}\n").ToString() : text.ToString();
    }

    // The example is a stranger's text: of it come parameters, a setup's name and the choice of a drawing, never a file.
    private static RunResult Run(ReadyRecipe recipe, string[] example, WorkerPool workers, CancellationToken cancel)
    {
        var parse = Program.CommandLine().Parse(example[1..], new ParserConfiguration { ResponseFileTokenReplacer = null });
        bool fits = example[0] == "recipes" && parse.Errors.Count == 0
            && parse.CommandResult.Command.Name == "dry-run" && parse.GetValue<string>("RECIPE") == recipe.Source.Name;
        string[] sets = fits ? parse.GetValue<string[]>("--set")! : [];
        string? chosen = fits ? parse.GetValue<string>("--setup") : null;
        var setup = SetupStore.Shipped.FirstOrDefault(known => known.Name == chosen) ?? SetupStore.Shipped.First(known => known.Name == SetupStore.Fallback);
        bool cut = fits && Path.GetFileName(parse.GetValue<string>("ART")) == "puffin-cut.png";
        if (sets.Any(set => recipe.Spec.Parameters.Any(parameter => parameter.Type == Protocol.ParameterType.Color
                && set.StartsWith(parameter.Name + "=", StringComparison.Ordinal))
            && !Rgba8.TryParse(set[(set.IndexOf('=', StringComparison.Ordinal) + 1)..].Trim(), out _)))
        {
            throw new ProblemException(Codes.BadParameter, "the example takes a color from a file.", "Give it as #rrggbb.");
        }

        var art = (cut ? CutOut : Drawing).Value;
        var file = new ArtFile(cut ? "puffin-cut.png" : "puffin.png", [], "");
        var state = new ArtState
        {
            File = file, Art = art,
            Identity = new ArtIdentity(file.Path, "", art.Width, art.Height, art.PixelsPerInch, cut ? "PNG, 8-bit RGBA" : "PNG, 8-bit RGB", []),
            Step = 0, StateSha256 = "",
            Setup = setup, SetupIsFallback = false, Work = null,
        };
        var values = ParameterValues.Resolve(recipe.Spec, sets, setup.ResolutionFor(art), setup);
        return new RecipeRunner(workers, Guardrails.Default, cancel).Run(recipe, state, values);
    }

    private string Show(RunResult result)
    {
        var (before, after, setup) = (result.Before, result.After, result.Report.Setup);
        var pictures = new List<(string Name, Plane<Rgba8> Pixels)> { ("before", Picture(before)), ("after", Picture(after)) };
        if (result.Report.Changed is { Pixels: > 0 })
        {
            pictures.Add(("diff", Overview.OfDiff(DiffPicture.Render(before.Flat, after.Flat, setup.Ink), before.Flat, after.Flat, Shrink(before))));
        }

        Pictures = pictures;
        using var report = new AnswerText();
        RunText.Write(report, result.Report);
        string links = string.Join('\n', pictures.Select(picture => $"![{picture.Name switch { "before" => "Before", "after" => "After", _ => "Difference" }}]"
            + $"(images/{Name}-{picture.Name}.png)"));
        string legend = pictures.Count > 2
            ? ", and the difference: blue gained ink, "
                + "vermilion lost it, yellow changed color, purple changed alpha, pale green stays bare, gray is unchanged"
            : "";
        return $"On the demo's art, under the garment setup {setup.Name}, before and after{legend}.\n\n"
            + $"{links}\n\n```text\n{CleanText.Visible(report.ToString())}```\n";

        // White ink is seen in the simulation only, which is slower and says nothing more about colors.
        Plane<Rgba8> Picture(Artwork art) => result.Report.Change.White is not null
            ? GarmentPicture.Render(
                PrintPreview.Render(art.Flat, setup, WhiteUnderbase.For(art, setup), art.SecondPass, markBare: false),
                setup with { Ink = Everything }, Shrink(art))
            : GarmentPicture.Render(art.Flat, setup, Shrink(art));
    }

    private static int Shrink(Artwork art) => (Math.Max(art.Width, art.Height) + LongestSide - 1) / LongestSide;

    private static string ReadByHand(RecipeSource source)
    {
        string path = ByHand(source);
        if (!File.Exists(path))
        {
            return "";
        }

        try
        {
            byte[] bytes = OutsideFile.Read(path, LongestByHand, Path.GetDirectoryName(Path.GetFullPath(path)))
                ?? throw new ProblemException(Codes.TooLarge, "The text about the recipe is longer than 256 KB.", "Shorten it.", new Place(path));
            return "\n" + CleanText.Visible(Encoding.UTF8.GetString(bytes).Replace("\r\n", "\n", StringComparison.Ordinal)).Trim() + "\n";
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new ProblemException(Codes.UnreadableRecipe, $"The text about the recipe can't be read: {e.Message}",
                "Check the file and its permissions.", new Place(path), e);
        }
    }

    // Words of a recipe are words, never markup.
    private static string Escape(string text) => Markup().Replace(text, @"\$0");

    [GeneratedRegex(@"[\\`*\[\]<>|]")]
    private static partial Regex Markup();
}
