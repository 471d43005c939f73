using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json.Nodes;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Journals;
using Recipes.Hosting.Orders;
using Recipes.Hosting.Pages;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Runs;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Shops;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;
using Recipes.Hosting.Workers;
using Recipes.Problems;
using Recipes.Work;
using Serilog;

namespace Recipes.Hosting.ManyRuns;

/// <summary>Makes one picture of many: whatever goes wrong with it is told in its item and leaves the others alone.</summary>
internal sealed class OneOfMany(Shop shop, ManyRunsRequest request, ToRun work, WorkerPool workers, Lazy<ImmutableArray<JournalEntry>> prints)
{
    private readonly RunOutput files = RunOutput.Of(request.Folder, work.Stem, work.Art);
    private readonly JsonObject fields = Fields(request, work);

    // True once its files are known to be ours to replace.
    private bool isOurs;

    public RunItem Make()
    {
        try
        {
            files.RefuseForeign(request.Force);
            isOurs = true;
            return Made();
        }
        catch (ProblemException e)
        {
            Log.Debug(e, "A file failed");
            return Failed(e.Problems);
        }
#pragma warning disable CA1031 // One file's fault must not take the others' results with it.
        catch (Exception e) when (e is not OperationCanceledException)
#pragma warning restore CA1031
        {
            Log.Error(e, "A fault of the program");
            return Failed([new Problem(
                Codes.Fault, $"A fault of the program: {CleanText.Line(e.Message, 300)}", "Please report it; --verbose shows more.", new Place(work.Art))]);
        }
    }

    /// <summary>The open work file of a row that begins with what was kept; null of one that begins with the file.</summary>
    /// <exception cref="ProblemException">R6303 nothing is kept.</exception>
    public static WorkFile? KeptOf(Shop shop, ToRun work)
    {
        if (work.Order is not { FromKept: true })
        {
            return null;
        }

        var kept = shop.OpenWork(work.Art);
        if (kept?.Line(work.Setup.Setup.Name).Head is not > 0)
        {
            kept?.Dispose();
            throw new ProblemException(Codes.BadOrderList, $"Nothing is kept for {work.Art} under {work.Setup.Setup.Name}.",
                "Leave 'from' empty to begin with the file, or keep what is done to it with 'recipes commit' first.", new Place(work.Art));
        }

        return kept;
    }

    /// <summary>Refuses a recipe that is among the steps that a row begins with, and says that a second run does harm.</summary>
    /// <exception cref="ProblemException">R6007.</exception>
    public static void RefuseRepeat(ToRun work, ArtState state)
    {
        if (RunOnce.Repeated(state, work.Recipes.All) is { } repeat)
        {
            throw new ProblemException(repeat with { Hint = "Leave 'from' empty to begin with the file, or undo that step." });
        }
    }

    private static JsonObject Fields(ManyRunsRequest request, ToRun work)
    {
        var fields = new JsonObject
        {
            ["art"] = new JsonObject { ["path"] = work.Art },
            ["inputs"] = new JsonObject { ["art"] = Path.GetRelativePath(Path.GetFullPath(request.Folder), Path.GetFullPath(work.Art)) },
        };
        if (work.Order is { } order)
        {
            fields["order"] = new JsonObject
            {
                ["row"] = order.Number, ["quantity"] = order.Quantity, ["label"] = order.Label,
                ["order"] = order.OrderNumber, ["shipBy"] = order.ShipBy?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
                ["garment"] = order.Garment, ["sizes"] = order.Sizes, ["place"] = order.Place,
                ["from"] = order.FromKept ? OrderList.Kept : OrderList.ArtItself,
            };
        }

        return fields;
    }

    private RunItem Made()
    {
        var setup = work.Setup.Setup;
        // Not by the shop: with a folder of work files known, the picture that an earlier run wrote would pass for the original that it is called after.
        var file = shop.Timings.Measure("read", () => ArtFile.Read(work.Art));
        using var kept = KeptOf(shop, work);
        var state = shop.FindState(file, kept, work.Setup, kept is null, workers).As(request.Kind);
        var values = work.Recipes.Values(state);
        RefuseRepeat(work, state);
        var listed = new ReadyRun(work.Recipes, state, values, request.Guardrails, workers).Run(shop);
        var (after, report) = (listed.Whole.After, listed.Whole.Report);
        AddTo(fields, listed);
        if ((RunProblems.Refusal(report) ?? (request.Strict ? RunProblems.Unanswered(report) : null)) is { } refusal)
        {
            return Failed([refusal], report);
        }

        var done = state with { Art = after };
        fields["effectivePpi"] = Math.Round(ResolutionInWords.Effective(after, setup), 2);
        // Whoever prints thirty shirts doesn't check each file: the sheet says what 'check' would, of what is printed.
        var left = work.Order is null || listed.Left is not null ? listed : shop.Timings.Measure("check", () => work.Recipes.All.IsEmpty
            ? listed with { Left = ArtCheck.Of(state).Findings } : ListCheck.Of(listed, setup));
        if (left.Left is { } findings)
        {
            fields["findings"] = ReportJson.Of(findings);
        }

        var (lastBad, warnings) = kept is null ? Remembered(file) : (EarlierPrint.LastBad(file, kept, setup.Name, prints.Value), []);
        warnings = [.. warnings, .. SizeNotListed(work) is { } size ? [size] : (Problem[])[]];
        fields["lastBad"] = PrintJson.Of(lastBad);
        string sha256 = shop.Timings.Measure("write", () => files.Write(after, fields));
        fields["outputs"] = new JsonObject { ["file"] = files.Picture, ["report"] = files.RecordPath };
        if (request.Timed)
        {
            fields["milliseconds"] = shop.Timings.ToJson();
        }

        Problem[] first = lastBad is null ? [] : [RunItem.Named(work.Art, work.Order, lastBad.Warning(work.Art))];
        files.Record(fields, true, warnings);
        return new RunItem(work.Art, work.Order, files.Picture, Slim(report), [], ReportJson.Answer("run", ExitCode.Done, [.. warnings, .. first], fields))
        {
            First = first,
            LastBad = lastBad,
            Warnings = warnings,
            Findings = left.Left ?? [],
            Resolution = ResolutionInWords.Effective(done),
            Small = work.Order is null ? null : TickOffPage.Small(after, setup),
            Entry = Entry(file, sha256),
        };
    }

    /// <summary>That a row asks for sizes that its garment's stock doesn't list, as a warning; else null.</summary>
    public static Problem? SizeNotListed(ToRun work) => work.Order is { } order
        && OrderedSizes.Warning(work.Setup.Setup.Name, order.Sizes, order.PlaceOf("sizes")) is { } warning
        ? RunItem.Named(work.Art, order, warning) with { Where = warning.Where } : null;

    // Of a list the whole, and each recipe's own report: numbers of regions belong to the art that the recipe saw.
    private static void AddTo(JsonObject fields, ListResult listed)
    {
        ReportJson.AddTo(fields, listed.Whole.Report);
        if (!listed.Steps.IsEmpty)
        {
            fields["steps"] = new JsonArray([.. listed.Steps.Select(step =>
            {
                var json = new JsonObject();
                ReportJson.AddTo(json, step.Report);
                return json;
            })]);
        }
    }

    // Of a thousand pictures nobody keeps ten thousand regions each; the record has them.
    private static RunReport Slim(RunReport report) => report with { Regions = [], Whites = [] };

    private JournalEntry Entry(ArtFile file, string sha256)
    {
        var recipe = work.Recipes.Identity;
        return new JournalEntry
        {
            At = shop.Now,
            Act = JournalAct.Run,
            By = request.By,
            Recipe = work.Recipes.All.IsEmpty ? null : new JournalRecipe(recipe.Name, recipe.Version, recipe.Sha256),
            Recipes = [.. work.Recipes.Parts],
            Art = new JournalFile(JournalFile.NameOf(work.Art), file.Sha256),
            Setup = work.Setup.Setup.Name,
            File = new JournalFile(JournalFile.NameOf(files.Picture), sha256),
        };
    }

    private RunItem Failed(IReadOnlyList<Problem> problems, RunReport? report = null)
    {
        // What an earlier run left must not pass for this one's result; where there is nothing, nothing is left.
        if (isOurs && (File.Exists(files.Picture) || File.Exists(files.RecordPath)))
        {
            try
            {
                files.Record(fields, false, problems);
            }
            catch (ProblemException e)
            {
                Log.Debug(e, "The failure couldn't be recorded");
            }
        }

        var answer = ReportJson.Answer("run", problems[0].Code.Exit, problems, fields);
        return new RunItem(work.Art, work.Order, null, report is null ? null : Slim(report), problems, answer);
    }

    // What the art's work file knows: the picture alone wouldn't show that its last print was bad, or that what was kept isn't in it.
    private (EarlierPrint? LastBad, Problem[] LeftOut) Remembered(ArtFile file)
    {
        string setup = work.Setup.Setup.Name;
        try
        {
            using var kept = shop.OpenWork(work.Art);
            int steps = kept?.Line(setup).Head ?? 0;
            var bad = EarlierPrint.LastBad(file, kept?.Original.Sha256 == file.Sha256 ? kept : null, setup, prints.Value);
            return steps == 0 ? (bad, []) : (bad,
            [
                new Problem(Codes.KeptStepsLeftOut, $"The result begins with the file itself; step {steps} under {setup}, kept in its work file, isn't in it.",
                    "'recipes export' writes what was kept; run takes that as any file.", new Place(work.Art), Severity.Warning),
            ]);
        }
        catch (ProblemException e)
        {
            // What was kept can't be read, and run doesn't need it.
            Log.Debug(e, "The work file couldn't be looked at");
            return (EarlierPrint.LastBad(file, null, setup, prints.Value), []);
        }
    }
}
