// How the page's scripts are linted; .ci/run says with which versions.
import js from "@eslint/js";
import globals from "globals";

export default [
	js.configs.recommended,
	{
		languageOptions: { ecmaVersion: 2024, sourceType: "module", globals: globals.browser },
		rules: {
			"array-callback-return": "error",
			"consistent-return": "error",
			eqeqeq: "error",
			"no-eval": "error",
			"no-implicit-globals": "error",
			"no-implied-eval": "error",
			"no-new-func": "error",
			"no-restricted-properties": ["error",
				...["innerHTML", "outerHTML", "insertAdjacentHTML"].map((property) => ({ property, message: "Words are set as text." })),
				{ object: "document", property: "write", message: "Words are set as text." }],
			"no-shadow": "error",
			"no-use-before-define": ["error", { functions: false, variables: false }],
			"no-var": "error",
			"prefer-const": "error",
		},
	},
	{ files: ["compile.js"], languageOptions: { sourceType: "script", globals: globals.worker } },
	{ files: ["worker.js"], languageOptions: { sourceType: "script", globals: globals.serviceworker } },
];
