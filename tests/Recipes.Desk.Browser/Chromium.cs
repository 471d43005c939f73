using Microsoft.Playwright;

namespace Recipes.Desk.Tests;

/// <summary>The system's own browser, started once for all journeys; nothing is downloaded.</summary>
public sealed class Chromium : IAsyncLifetime
{
    private const string Program = "/usr/bin/chromium";

    private IPlaywright? playwright;
    private IBrowser? browser;

    /// <summary>The browser.</summary>
    internal IBrowser Browser => browser ?? throw new InvalidOperationException("The browser isn't started.");

    public async ValueTask InitializeAsync()
    {
        if (!File.Exists(Program))
        {
            // Where the tests are to prove something, the want of a browser is a failure.
            Assert.SkipUnless(Environment.GetEnvironmentVariable("RECIPES_CI") == "1", $"There is no {Program}.");
        }

        playwright = await Playwright.CreateAsync();
        browser = await playwright.Chromium.LaunchAsync(new BrowserTypeLaunchOptions
        {
            ExecutablePath = Program,
            // Nothing is drawn on a screen, and no page of a stranger's is opened.
            ChromiumSandbox = false,
            Args = ["--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
        });
    }

    public async ValueTask DisposeAsync()
    {
        if (browser is not null)
        {
            await browser.CloseAsync();
        }

        playwright?.Dispose();
    }
}
