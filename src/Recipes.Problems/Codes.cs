using System.Reflection;

namespace Recipes.Problems;

/// <summary>A stable problem code and the exit code it ends with.</summary>
public sealed record Code(string Id, ExitCode Exit, string Title);

/// <summary>Every problem code. A code is never reused; each has a page <c>docs/problems/ID.md</c>.</summary>
public static class Codes
{
    // R1: what was asked for
    /// <summary>Unknown command, option or argument.</summary>
    public static readonly Code BadUsage = new("R1001", ExitCode.Usage, "The command line is not understood");
    /// <summary>No recipe of that name.</summary>
    public static readonly Code UnknownRecipe = new("R1002", ExitCode.Usage, "No recipe has that name");
    /// <summary>One recipe name in two places.</summary>
    public static readonly Code RecipeInTwoPlaces = new("R1003", ExitCode.Usage, "One recipe name is found in two places");
    /// <summary>The recipe has no such parameter.</summary>
    public static readonly Code UnknownParameter = new("R1004", ExitCode.Usage, "The recipe has no parameter of that name");
    /// <summary>A parameter value is malformed, out of range or in the wrong unit.</summary>
    public static readonly Code BadParameter = new("R1005", ExitCode.Usage, "A parameter's value can't be used");
    /// <summary>No garment setup of that name.</summary>
    public static readonly Code UnknownSetup = new("R1006", ExitCode.Usage, "No garment setup has that name");
    /// <summary>A setup file is malformed.</summary>
    public static readonly Code BadSetup = new("R1007", ExitCode.Usage, "The garment setup can't be used");
    /// <summary>A result would be written under a setup that nobody chose.</summary>
    public static readonly Code NoSetupChosen = new("R1008", ExitCode.Usage, "No garment setup was chosen");
    /// <summary>Two arts would give the same output.</summary>
    public static readonly Code SameOutput = new("R1009", ExitCode.Usage, "Two arts would give the same output file");
    /// <summary>No guardrail of that name or policy.</summary>
    public static readonly Code BadGuard = new("R1010", ExitCode.Usage, "The guardrail or its policy is unknown");
    /// <summary>The recipe needs a parameter that was not given.</summary>
    public static readonly Code MissingParameter = new("R1011", ExitCode.Usage, "The recipe needs a parameter");
    /// <summary>The list of the shop's garments is malformed.</summary>
    public static readonly Code BadGarments = new("R1012", ExitCode.Usage, "The garment stock can't be used");
    /// <summary>No garment of that name.</summary>
    public static readonly Code UnknownGarment = new("R1013", ExitCode.Usage, "The stock has no garment of that name");
    /// <summary>The shop's list of causes is malformed.</summary>
    public static readonly Code BadCauses = new("R1014", ExitCode.Usage, "The list of causes can't be used");
    /// <summary>No cause of that name.</summary>
    public static readonly Code UnknownCause = new("R1015", ExitCode.Usage, "No cause has that name");

    // R2: recipes that are refused
    /// <summary>The recipe doesn't compile.</summary>
    public static readonly Code DoesNotCompile = new("R2001", ExitCode.RecipeRefused, "The recipe doesn't compile");
    /// <summary>The recipe names a type or member that recipes may not use.</summary>
    public static readonly Code ForbiddenMember = new("R2002", ExitCode.RecipeRefused, "The recipe uses what recipes may not use");
    /// <summary>The recipe uses a construct of the language that recipes may not use.</summary>
    public static readonly Code ForbiddenConstruct = new("R2003", ExitCode.RecipeRefused, "The recipe uses a construct that recipes may not use");
    /// <summary>The compiled recipe holds something that recipes may not hold.</summary>
    public static readonly Code ForbiddenAssembly = new("R2004", ExitCode.RecipeRefused, "The compiled recipe holds what recipes may not hold");
    /// <summary>A parameter, title or purpose is not a constant.</summary>
    public static readonly Code NotConstant = new("R2005", ExitCode.RecipeRefused, "A declaration in the recipe is not constant");
    /// <summary>The recipe is too long or too deeply nested, or compiling it took too long.</summary>
    public static readonly Code TooLarge = new("R2006", ExitCode.RecipeRefused, "The recipe is too large to compile");
    /// <summary>A loaded snippet is missing or lies outside the permitted folders.</summary>
    public static readonly Code BadSnippet = new("R2007", ExitCode.RecipeRefused, "A snippet can't be loaded");
    /// <summary>The recipe file can't be read.</summary>
    public static readonly Code UnreadableRecipe = new("R2008", ExitCode.RecipeRefused, "The recipe file can't be read");
    /// <summary>The recipe needs a newer version of what recipes may count on.</summary>
    public static readonly Code NewerRecipe = new("R2009", ExitCode.RecipeRefused, "The recipe is of a newer version");

    // R3: art and work files
    /// <summary>The art file doesn't exist.</summary>
    public static readonly Code ArtMissing = new("R3001", ExitCode.Art, "The art file doesn't exist");
    /// <summary>The art file can't be read.</summary>
    public static readonly Code ArtUnreadable = new("R3002", ExitCode.Art, "The art file can't be read");
    /// <summary>The file is not a picture of a known format.</summary>
    public static readonly Code NotAPicture = new("R3003", ExitCode.Art, "The file is not a picture that can be read");
    /// <summary>The file is damaged or cut short.</summary>
    public static readonly Code DamagedPicture = new("R3004", ExitCode.Art, "The picture is damaged");
    /// <summary>The picture is of a kind that is not supported.</summary>
    public static readonly Code UnsupportedPicture = new("R3005", ExitCode.Art, "This kind of picture is not supported");
    /// <summary>The picture is larger than 30,000 px a side or 200 megapixels, or has no pixels.</summary>
    public static readonly Code PictureSize = new("R3006", ExitCode.Art, "The picture's size can't be used");
    /// <summary>The picture states colors that can't be converted to sRGB: a damaged profile, or a color space without one.</summary>
    public static readonly Code ForeignProfile = new("R3007", ExitCode.Art, "The picture's colors can't be converted to sRGB");
    /// <summary>Reading the picture took too long, too much memory, or crashed the reader.</summary>
    public static readonly Code DecoderStopped = new("R3008", ExitCode.Art, "Reading the picture was stopped");
    /// <summary>The work file is damaged or not one of ours.</summary>
    public static readonly Code DamagedWorkFile = new("R3009", ExitCode.Art, "The work file is damaged");
    /// <summary>The work file was written by a newer version.</summary>
    public static readonly Code NewerWorkFile = new("R3010", ExitCode.Art, "The work file is of a newer version");

    // R4: recipes that fail
    /// <summary>The recipe threw an exception.</summary>
    public static readonly Code RecipeThrew = new("R4001", ExitCode.RecipeFailed, "The recipe failed");
    /// <summary>The recipe declined this art or setup.</summary>
    public static readonly Code RecipeDeclined = new("R4002", ExitCode.RecipeFailed, "The recipe declined");
    /// <summary>The recipe ran longer than the time limit.</summary>
    public static readonly Code OutOfTime = new("R4003", ExitCode.RecipeFailed, "The recipe ran out of time");
    /// <summary>The recipe used more memory than the limit.</summary>
    public static readonly Code OutOfMemory = new("R4004", ExitCode.RecipeFailed, "The recipe ran out of memory");
    /// <summary>The recipe overflowed its stack.</summary>
    public static readonly Code StackOverflow = new("R4005", ExitCode.RecipeFailed, "The recipe overflowed its stack");
    /// <summary>The worker process died.</summary>
    public static readonly Code WorkerDied = new("R4006", ExitCode.RecipeFailed, "The worker process ended unexpectedly");
    /// <summary>The worker's reply is malformed.</summary>
    public static readonly Code BadReply = new("R4007", ExitCode.RecipeFailed, "The worker's reply can't be used");
    /// <summary>The worker made a system call that workers may not make.</summary>
    public static readonly Code ForbiddenCall = new("R4010", ExitCode.RecipeFailed, "The recipe tried to leave its jail");

    // R5: guardrails and strict checks
    /// <summary>A guardrail refused the result.</summary>
    public static readonly Code GuardrailRefused = new("R5001", ExitCode.Guardrail, "A guardrail stopped the recipe");
    /// <summary><c>check --strict</c> found something.</summary>
    public static readonly Code StrictFindings = new("R5002", ExitCode.Guardrail, "The check found something");
    /// <summary>With <c>--strict</c>, a recipe had to guess and nobody has answered.</summary>
    public static readonly Code OpenQuestions = new("R5003", ExitCode.Guardrail, "A question is open");

    // R6: conflicts
    /// <summary>The dry run no longer fits the art, step, recipe, parameters or setup.</summary>
    public static readonly Code StaleDryRun = new("R6001", ExitCode.Conflict, "The dry run is out of date");
    /// <summary>The art file changed since the work began.</summary>
    public static readonly Code ArtChanged = new("R6002", ExitCode.Conflict, "The art file changed since the work began");
    /// <summary>Another program holds or changed the work file.</summary>
    public static readonly Code WorkFileInUse = new("R6003", ExitCode.Conflict, "The work file is in use");
    /// <summary>Nothing to undo.</summary>
    public static readonly Code NothingToUndo = new("R6004", ExitCode.Conflict, "There is nothing to undo");
    /// <summary>Nothing to redo.</summary>
    public static readonly Code NothingToRedo = new("R6005", ExitCode.Conflict, "There is nothing to redo");
    /// <summary>The recipe has run already, and says that a second run does harm.</summary>
    public static readonly Code RunAlready = new("R6007", ExitCode.Conflict, "The recipe has run on this art already");
    /// <summary><c>run</c> started from the file itself, though its work file holds steps; a warning.</summary>
    public static readonly Code KeptStepsLeftOut = new("R6012", ExitCode.Conflict, "Kept steps are not in the result");
    /// <summary>The folder holds no dry run.</summary>
    public static readonly Code NotADryRun = new("R6006", ExitCode.Usage, "The folder holds no dry run");
    /// <summary>There is no such step.</summary>
    public static readonly Code UnknownStep = new("R6008", ExitCode.Usage, "There is no such step");
    /// <summary>Work was carried over to a re-sent file, and some numbered regions have no answer that holds.</summary>
    public static readonly Code OpenAnswers = new("R6009", ExitCode.Conflict, "Some regions need an answer");
    /// <summary>The art to carry work over to has steps of its own.</summary>
    public static readonly Code StepsHere = new("R6010", ExitCode.Conflict, "The art has steps already");
    /// <summary>A step was made with another source of the recipe than is found now; a warning.</summary>
    public static readonly Code OtherRecipe = new("R6011", ExitCode.Conflict, "The recipe has changed since the step was kept");
    /// <summary>The art that work is carried over to lies otherwise than the earlier one; a warning.</summary>
    public static readonly Code TurnedArt = new("R6013", ExitCode.Conflict, "The art looks turned or mirrored");

    // R61: what may not run here
    /// <summary>This machine can't confine a recipe that isn't approved.</summary>
    public static readonly Code CannotConfine = new("R6101", ExitCode.NotApproved, "This machine can't confine the recipe");
    /// <summary>The house demands approval, and nobody it trusts has approved the recipe.</summary>
    public static readonly Code NotApproved = new("R6102", ExitCode.NotApproved, "The recipe isn't approved");
    /// <summary>A recipe's lock file, signature or key doesn't hold.</summary>
    public static readonly Code ApprovalVoid = new("R6103", ExitCode.NotApproved, "The approval doesn't hold");
    /// <summary>A key file is malformed, of another kind, or open to others.</summary>
    public static readonly Code BadKey = new("R6104", ExitCode.NotApproved, "The key can't be used");
    /// <summary>The house's configuration is malformed or can't be read.</summary>
    public static readonly Code BadHouse = new("R6105", ExitCode.NotApproved, "The house configuration can't be used");
    /// <summary>There is no such key of the user's, or several and none is named.</summary>
    public static readonly Code UnknownKey = new("R6106", ExitCode.Usage, "There is no such key");
    /// <summary>A recipe's own test cases failed, so it isn't approved.</summary>
    public static readonly Code CasesFailed = new("R6107", ExitCode.TestFailed, "A test case of the recipe failed");
    /// <summary>A test case's file is malformed.</summary>
    public static readonly Code BadCase = new("R6108", ExitCode.TestFailed, "A test case can't be used");
    /// <summary>Another program is approving the same recipe.</summary>
    public static readonly Code ApprovalInUse = new("R6109", ExitCode.Conflict, "The recipe is being approved by another program");
    /// <summary>A file that an approval covers changed after it was tested.</summary>
    public static readonly Code ChangedWhileApproved = new("R6110", ExitCode.Conflict, "The recipe changed while it was being approved");
    /// <summary>Two runs of a recipe on the same art, in processes of their own, gave two results.</summary>
    public static readonly Code TwoResults = new("R6111", ExitCode.TestFailed, "The recipe gave two results");

    // R62: recipes that are shared
    /// <summary>A pack is damaged, hostile, or none.</summary>
    public static readonly Code DamagedPack = new("R6201", ExitCode.Art, "The pack can't be used");
    /// <summary>A pack was written by a newer version.</summary>
    public static readonly Code NewerPack = new("R6202", ExitCode.Art, "The pack is of a newer version");
    /// <summary>A recipe of that name is here already, and what would take its place is older or would undo a local change.</summary>
    public static readonly Code RecipeHere = new("R6203", ExitCode.Conflict, "The recipe is here already");
    /// <summary>A recipe has a file that can't be shared or approved.</summary>
    public static readonly Code UnfitFile = new("R6204", ExitCode.Usage, "A file of the recipe can't be shared");
    /// <summary>A recipe list can't be read.</summary>
    public static readonly Code BadRecipeList = new("R6205", ExitCode.RecipeRefused, "The recipe list can't be used");

    // R63: the journal, and lists of orders
    /// <summary>What was done can't be written into the journal; a warning.</summary>
    public static readonly Code JournalUnwritable = new("R6301", ExitCode.Output, "The journal can't be written");
    /// <summary>The journal can't be read, or, as a warning, one of its lines.</summary>
    public static readonly Code JournalUnreadable = new("R6302", ExitCode.Art, "The journal can't be read");
    /// <summary>A list of orders is malformed, or can't be read.</summary>
    public static readonly Code BadOrderList = new("R6303", ExitCode.Usage, "The list of orders can't be used");
    /// <summary>An order asks for a size that the garment stock doesn't list; a warning.</summary>
    public static readonly Code SizeNotListed = new("R6304", ExitCode.Usage, "The stock doesn't list a size");

    /// <summary>The link that opens the desk's page was used already.</summary>
    public static readonly Code DeskLinkUsed = new("R6401", ExitCode.NotApproved, "The desk's link doesn't hold any more");
    /// <summary>What the desk's page shows is no longer held in memory.</summary>
    public static readonly Code DeskForgot = new("R6402", ExitCode.Conflict, "The desk no longer holds what its page shows");
    /// <summary>The desk can't be reached where it was told to be.</summary>
    public static readonly Code DeskPort = new("R6403", ExitCode.Output, "The desk can't have its port");

    // R7: charts
    /// <summary>A chart file is malformed, too large, or can't be read.</summary>
    public static readonly Code DamagedChart = new("R7001", ExitCode.Art, "The chart file can't be read");
    /// <summary>A chart file has no RGB values, or no readings.</summary>
    public static readonly Code IncompleteChart = new("R7002", ExitCode.Art, "The chart file lacks values that are needed");
    /// <summary>A chart file was read, with something in it to look at.</summary>
    public static readonly Code DoubtfulChart = new("R7003", ExitCode.Art, "The chart file was read with doubts");
    /// <summary>A chart can't be laid out as asked.</summary>
    public static readonly Code BadChart = new("R7004", ExitCode.Usage, "The chart can't be made as asked");
    /// <summary>RGB values may run to 255 or to 100, and the chart file doesn't say.</summary>
    public static readonly Code UnclearScale = new("R7005", ExitCode.Usage, "The scale of the chart's RGB values is unclear");
    /// <summary>A target color is malformed.</summary>
    public static readonly Code BadTarget = new("R7006", ExitCode.Usage, "The target color can't be used");
    /// <summary>A patch is named that no chart of the setup has.</summary>
    public static readonly Code UnknownPatch = new("R7007", ExitCode.Usage, "There is no such patch");
    /// <summary>The setup's chart file is not the one that the setup names.</summary>
    public static readonly Code OtherChart = new("R7008", ExitCode.Art, "The chart file is another one than the setup names");
    /// <summary>A match result's file is malformed or of a newer version.</summary>
    public static readonly Code BadMatchFile = new("R7009", ExitCode.Art, "The match file can't be used");
    /// <summary>Colors changed after the underbase was laid; a warning.</summary>
    public static readonly Code UnderbaseOutdated = new("R7401", ExitCode.Guardrail, "The underbase is older than the colors");
    /// <summary>A test garment's file is malformed, of a newer version, or for another platen.</summary>
    public static readonly Code BadTestGarment = new("R7501", ExitCode.Art, "The test garment's file can't be used");
    /// <summary>Tests don't fit on what is free of a test garment.</summary>
    public static readonly Code NoRoom = new("R7502", ExitCode.Usage, "The tests don't fit on the test garment");
    /// <summary>Tests can't be ganged as asked.</summary>
    public static readonly Code BadGang = new("R7503", ExitCode.Usage, "The tests can't be ganged as asked");
    /// <summary>Another program is placing tests on the test garment.</summary>
    public static readonly Code TestGarmentInUse = new("R7504", ExitCode.Conflict, "The test garment is in use");

    /// <summary>Something changed since the last good print, or the last print was bad; a warning.</summary>
    public static readonly Code TestFirst = new("R7601", ExitCode.Guardrail, "A test print comes first");
    /// <summary>The last print of the art under this setup was bad; a warning.</summary>
    public static readonly Code LastPrintBad = new("R7602", ExitCode.Guardrail, "The last print was bad");

    // R8: output
    /// <summary>The output exists and isn't ours to replace.</summary>
    public static readonly Code OutputExists = new("R8001", ExitCode.Output, "The output exists already");
    /// <summary>The output can't be written.</summary>
    public static readonly Code OutputUnwritable = new("R8002", ExitCode.Output, "The output can't be written");

    // R9: the program itself
    /// <summary>A fault of our own.</summary>
    public static readonly Code Fault = new("R9001", ExitCode.Fault, "A fault of the program");
    /// <summary>Interrupted by the user.</summary>
    public static readonly Code Interrupted = new("R9002", ExitCode.Interrupted, "Interrupted");

    /// <summary>All codes in order.</summary>
    public static IReadOnlyList<Code> All { get; } =
        [.. typeof(Codes).GetFields(BindingFlags.Public | BindingFlags.Static)
            .Where(field => field.FieldType == typeof(Code))
            .Select(field => (Code)field.GetValue(null)!)
            .OrderBy(code => code.Id, StringComparer.Ordinal)];
}
