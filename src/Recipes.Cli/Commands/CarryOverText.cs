using System.Globalization;
using Recipes.Hosting.CarryOvers;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Cli.Commands;

/// <summary>What became of an art's steps, in sentences for the terminal.</summary>
internal static class CarryOverText
{
    public static void Write(TextWriter text, CarryOverRequest request, CarriedOver carried)
    {
        text.WriteLine($"{request.OldPath} carried over to {request.NewPath}, setup {carried.State.Setup.Name}");
        RunText.Art(text, carried.State.Identity, carried.State.Setup);
        foreach (var step in carried.Steps)
        {
            Write(text, step);
        }

        if (carried.Question is { } question)
        {
            Write(text, question);
            text.WriteLine($"Nothing was kept. Look at {carried.Pictures!["report.html"]}, or {carried.Pictures["diff.png"]}; "
                + $"the numbers are those of {request.NewPath} at this step.");
            if (carried.Left > 0)
            {
                text.WriteLine($"{(carried.Left == 1 ? "One step follows" : $"{carried.Left} steps follow")} when this is answered.");
            }
        }
        else
        {
            text.WriteLine(carried.Steps[^1].Refusal is not { } refusal ? End(request, carried)
                : refusal.Code == Codes.OpenQuestions ? "A question is open; nothing was kept." : "A guardrail refused this; nothing was kept.");
        }
    }

    private static string End(CarryOverRequest request, CarriedOver carried)
    {
        var (kept, step) = (carried.Changing, carried.Step);
        return kept == 0 ? $"Nothing to keep: the recipes change nothing here. {request.NewPath} stays at step {step}."
            : carried.WorkPath is null ? "A try: everything fits, and nothing was kept. Leave out --show to keep it."
            : $"Kept as {(kept == 1 ? $"step {step}" : $"steps {step - kept + 1} to {step}")}. Look at the export before you print; "
                + $"'recipes undo {request.NewPath}' takes the last step back.";
    }

    private static void Write(TextWriter text, CarriedStep step)
    {
        var report = step.Result.Report;
        text.WriteLine($"step {step.Step.Step.Number}, {step.Step.Step.Record.Recipe}: {(step.Open is not null ? "needs an answer" : report.Changed switch
        {
            null => "changes the size",
            { Pixels: 0 } when step.Number is null && !report.Refused => "changes nothing here, so it is no step",
            { Pixels: 0 } => RunText.Changed(report),
            _ => $"{RunText.Changed(report)}, {Numeral.Of(report.Ink.Gained)} more print, {Numeral.Of(report.Ink.Lost)} fewer",
        })}");
        foreach (var part in step.Parts.Where(part => part.Answers?.Match is not null))
        {
            Write(text, part, part.Answers!);
        }
    }

    private static void Write(TextWriter text, CarriedPart part, CarriedAnswers answers)
    {
        var match = answers.Match!;
        int there = match.Found.Count(found => found.Fit == RegionFit.Matched);
        string where = match.Placement == ArtPlacement.Same ? "in the same place and size"
            : string.Create(CultureInfo.InvariantCulture,
                $"at {match.Placement.Scale:0.0##} times the size, moved by {match.Placement.X:0.#},{match.Placement.Y:0.#} px");
        text.WriteLine($"  {there} of {match.Found.Length} numbered regions are there again, {(match.Turn == default ? "" : $"{match.Turn}, ")}{where}");
        if (answers.LeavesOut)
        {
            text.WriteLine($"  only the {Numeral.Of(ReportedRegions.Most)} largest regions of an art are listed; smaller ones were not looked at");
        }

        int[] gone = [.. answers.Gone];
        if (gone.Length > 0)
        {
            text.WriteLine($"  {(answers.LeavesOut ? "not among them here" : "gone")}: {CleanText.Line(CarriedAnswers.Text(gone), 200)}; "
                + "what was said about them is dropped");
        }

        foreach (string name in answers.Numbers.Keys)
        {
            string was = part.Part.Was.FirstOrDefault(set => set.Split('=')[0] == name)?[(name.Length + 1)..] ?? "", now = part.Run.Report.Parameters[name];
            if (was.Length + now.Length > 0)
            {
                text.WriteLine($"  {name}={(was.Length == 0 ? "none" : was)} is {name}={(now.Length == 0 ? "none" : CleanText.Line(now, 200))} here"
                    + $"{(part.Part.Answered.Contains(name) ? ", as you said" : "")}");
            }
        }
    }

    private static void Write(TextWriter text, CarryOverQuestion question)
    {
        var answers = question.Answers;
        foreach (var region in answers.Open)
        {
            string pieces = region.Numbers.Length == 1 ? "" : $" (with its pieces {CarriedAnswers.Text(region.Numbers)})";
            text.WriteLine($"  region {region.Region.Number} in the box {region.Region.Box}, {Numeral.Of(region.Region.Pixels)} px{pieces}: "
                + $"{region.Why}; {question.Fate(region.Region).Unnamed}");
        }

        foreach (var option in question.Options)
        {
            text.WriteLine($"  {option.Parameter.Name}: {option.Parameter.Help}");
            if (option.With is null)
            {
                text.WriteLine($"    --set {option.Without}NUMBERS");
                continue;
            }

            text.WriteLine($"    {question.Fate().Unnamed}:  --set {option.Without}");
            text.WriteLine($"    {question.Fate().Named}:  --set {option.With}");
        }
    }
}
